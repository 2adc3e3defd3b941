from __future__ import annotations

import gc
import signal
import struct
import subprocess
import sys
import textwrap
import time
import warnings
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import imageio.v3 as iio
import imageio_ffmpeg
import numpy as np
import pytest
import samples
from matplotlib.text import Text

from sim.errors import DomainError, EngineError, GeometryError
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.solve import solve
from sim.scene.parts import Configuration, Scene
from sim.show.film import frame as frame_module
from sim.show.film.dials import Tags
from sim.show.film.encode import write_video
from sim.show.film.film import film, tell
from sim.show.film.frame import Painter
from sim.show.film.painters import painted
from sim.show.film.paper import Sheet
from sim.world.poses import body_poses

SMALL = (320, 180)


def scene_of(*configurations: Configuration, title: str = "A truck of our own") -> Scene:
    return Scene(
        name="test",
        title=title,
        about="",
        datum="",
        display="metric",
        rules="two-piece service",
        configurations=configurations,
        compared=(configurations[0].name, configurations[-1].name),
        doubts=(),
        text="",
        digest="",
    )


@pytest.fixture(scope="module")
def pair() -> tuple[Scene, list[Measurements]]:
    one, two = samples.one_piece(), samples.two_piece()
    return scene_of(one, two), [measure(solve(c)) for c in (one, two)]


@pytest.fixture(scope="module")
def short(pair: tuple[Scene, list[Measurements]], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Six frames and two of the whirl moment, small."""
    folder = tmp_path_factory.mktemp("film")
    path = folder / "compare.mp4"
    calls: list[tuple[int, int]] = []
    files = film(
        *pair, path, seconds=1, fps=6, size=SMALL, gif=True, processes=1,
        progress=lambda done, of: calls.append((done, of)),
    )  # fmt: skip
    assert files.frames == 8
    assert calls == [(n, 8) for n in range(1, 9)]
    assert sorted(p.name for p in folder.iterdir()) == ["compare.gif", "compare.mp4", "compare.png"]
    return path


@pytest.fixture(scope="module")
def painter(pair: tuple[Scene, list[Measurements]]) -> Painter:
    """A second of film, half the usual size."""
    return Painter(tell(*pair, seconds=1, fps=24), (640, 360))


def decoded(path: Path) -> np.ndarray:
    """Return all frames of a video; imageio leaves closing its pipes to the garbage collector."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        frames = np.array(iio.imread(path))
        gc.collect()
    return frames


def told(path: Path) -> dict[str, object]:
    """Return what the decoder says of a video."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        reader = imageio_ffmpeg.read_frames(str(path))
        about: dict[str, object] = next(reader)
        reader.close()
        gc.collect()
    return about


def boxes(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Yield type and content of every box.  Layout: ISO/IEC 14496-12, section 4.2."""
    at = 0
    while at + 8 <= len(data):
        size, kind = struct.unpack(">I4s", data[at : at + 8])
        head = 8
        if size == 1:
            size, head = struct.unpack(">Q", data[at + 8 : at + 16])[0], 16
        yield kind, data[at + head : at + size]
        at += size or len(data)


def inside(data: bytes, *path: bytes) -> bytes:
    for kind in path:
        data = next(content for found, content in boxes(data) if found == kind)
    return data


def test_a_film_decodes_to_its_frames_at_its_size_and_pace(short: Path) -> None:
    frames = decoded(short)
    assert frames.shape == (8, 180, 320, 3)
    assert told(short)["fps"] == pytest.approx(6)


@pytest.mark.parametrize(("a", "b"), [(0, 2), (2, 7), (0, 7)])
def test_first_middle_and_last_frame_are_not_one_color_and_differ(
    short: Path, a: int, b: int
) -> None:
    frames = decoded(short).astype(int)
    assert frames[a].std() > 10
    assert frames[b].std() > 10
    assert np.abs(frames[a] - frames[b]).max() > 60


def test_a_film_is_h264_that_starts_at_once(short: Path) -> None:
    order = [kind for kind, _ in boxes(short.read_bytes())]
    assert order[0] == b"ftyp"
    assert order.index(b"moov") < order.index(b"mdat")
    about = told(short)
    assert about["codec"] == "h264"
    assert str(about["pix_fmt"]).startswith("yuv420p(tv, bt709")


def test_a_film_says_which_colors_it_means(short: Path) -> None:
    # ISO/IEC 23091-2: color primaries, transfer and matrix of ITU-R BT.709 all have code point 1.
    table = inside(short.read_bytes(), b"moov", b"trak", b"mdia", b"minf", b"stbl", b"stsd")
    entry = inside(table[8:], b"avc1")
    assert inside(entry[78:], b"colr")[:10] == b"nclx" + struct.pack(">HHH", 1, 1, 1)


def test_the_poster_is_the_last_frame(short: Path) -> None:
    still = iio.imread(short.with_suffix(".png")).astype(int)
    last = decoded(short)[-1].astype(int)
    assert still.shape == (180, 320, 3)
    assert np.abs(still - last).mean() < 4


def test_the_preview_moves_and_is_small(short: Path) -> None:
    preview = iio.imread(short.with_suffix(".gif"))
    assert preview.shape[0] > 2
    assert preview.shape[2] == 640
    assert np.abs(preview[0].astype(int) - preview[-1].astype(int)).max() > 60


def test_a_red_comes_back_red(tmp_path: Path) -> None:
    # Without the color space written down players show (203, 69, 43) instead.
    red = (192, 57, 43)
    path = tmp_path / "red.mp4"
    frame = np.full((64, 64, 3), red, np.uint8).tobytes()
    write_video(path, [frame] * 4, (64, 64), 24)
    np.testing.assert_allclose(decoded(path)[1, 20, 20], red, atol=4)


def test_two_processes_paint_the_same_bits_in_the_same_order(
    pair: tuple[Scene, list[Measurements]],
) -> None:
    story = tell(*pair, seconds=1, fps=3)
    alone = list(painted(story, SMALL, 1))
    assert len(alone) == 4
    assert list(painted(story, SMALL, 2)) == alone


def test_labels_stand_where_the_joints_are_seen(painter: Painter) -> None:
    # The pinhole written out: similar triangles through the eye.
    story = painter.story
    for number, take in enumerate(story.takes):
        left, top, right, bottom = painter._pixels(number)
        camera = frame_module.camera_for(story.takes, (right - left, bottom - top))
        ahead = (camera.target - camera.eye) / np.linalg.norm(camera.target - camera.eye)
        side = np.cross(ahead, [0.0, 0.0, 1.0])
        side /= np.linalg.norm(side)
        offset = take.motion.joint_center[:, 0] - camera.eye
        focal = (bottom - top) / 2 / np.tan(camera.fov / 2) / (offset @ ahead)
        column = (left + right) / 2 + focal * (offset @ side)
        row = (top + bottom) / 2 - focal * (offset @ np.cross(side, ahead))
        tags = painter.dials[3 * number]
        assert isinstance(tags, Tags)
        np.testing.assert_allclose(tags.at[..., 0] / 2, column, atol=0.02)
        np.testing.assert_allclose(tags.at[..., 1] / 2, row, atol=0.02)


def test_a_leader_ends_at_its_joint_and_its_number_is_the_angle(painter: Painter) -> None:
    painter.paint(13)
    tags = painter.dials[3]
    assert isinstance(tags, Tags)
    for j, (leader, tag) in enumerate(zip(tags.leaders, tags.tags, strict=True)):
        end = np.array(leader.get_data())[:, -1]
        np.testing.assert_allclose(end, tags.at[13, j] - (0, 6), atol=1e-9)
        angle = np.degrees(painter.story.takes[1].joint_angle[13, j])
        assert tag.get_text() == f"{angle:.1f}°"


@pytest.mark.parametrize("frame", [0, 12, 29])
def test_every_word_is_inside_the_frame_and_big_enough_for_a_phone(
    painter: Painter, frame: int
) -> None:
    painter.paint(frame)
    for text in painter.sheet.axes.findobj(Text):
        if text.get_text() and text.get_visible():
            left, top, width, height = painter.sheet.extent(text)
            assert left >= 0, text
            assert left + width <= 1280.5, text
            assert 0 <= top <= 720 - height, text
            assert text.get_fontsize() * 100 / 72 >= 15, text


def test_no_word_calls_a_whirl_limit_safe(painter: Painter) -> None:
    painter.paint(29)
    words = " ".join(t.get_text() for t in painter.sheet.axes.findobj(Text))
    assert "safe" not in words.lower()
    assert "at 0.70 of critical" in words
    assert "certifies nothing" in words


def test_long_names_are_cut_short_and_markup_is_shown_as_written() -> None:
    one = replace(samples.one_piece(), name="a <b>very</b> $long$ name " * 6)
    scene = scene_of(one, title="$\\frac{1}{0}$ " * 20)
    painter = Painter(tell(scene, [measure(solve(one))], seconds=1, fps=6), SMALL)
    painter.paint(0)
    words = [t.get_text() for t in painter.sheet.axes.findobj(Text)]
    assert any(w.startswith("a <b>very</b> $long") and w.endswith("…") for w in words)


def test_a_film_of_one_configuration_fills_the_frame() -> None:
    three = samples.three_piece()
    story = tell(scene_of(three), [measure(solve(three))], seconds=1, fps=3)
    assert story.balance is None
    frames = [np.frombuffer(f, np.uint8).reshape(180, 320, 3) for f in painted(story, SMALL, 1)]
    assert all(f.std() > 10 for f in frames)


def test_the_canvas_of_this_matplotlib_can_be_written_to() -> None:
    sheet = Sheet(SMALL)
    buffer = sheet.begin()
    buffer[10:20, 30:40, :3] = (1, 2, 3)
    frame = np.frombuffer(sheet.finish([]), np.uint8).reshape(180, 320, 3)
    assert (frame[10:20, 30:40] == (1, 2, 3)).all()
    assert not (frame[25:30, 30:40] == (1, 2, 3)).any()


def test_a_picture_of_one_color_is_an_error(
    painter: Painter, monkeypatch: pytest.MonkeyPatch
) -> None:
    def blank(stage: frame_module.Stage, poses: object) -> np.ndarray:
        return np.full((stage.size[1], stage.size[0], 3), 200, np.uint8)

    monkeypatch.setattr(frame_module.Stage, "picture", blank)
    with pytest.raises(EngineError, match='frame 2 of "one-piece" came out all one color'):
        painter.paint(2)


def test_a_canvas_that_cannot_be_written_to_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = Sheet(SMALL)
    sheet.begin()
    frozen = np.zeros((180, 320, 4), np.uint8)
    frozen.setflags(write=False)
    monkeypatch.setattr(sheet.canvas, "buffer_rgba", lambda: frozen)
    with pytest.raises(EngineError, match="does not let its canvas be written to"):
        sheet.begin()


def test_a_run_that_fails_leaves_nothing(
    pair: tuple[Scene, list[Measurements]], tmp_path: Path
) -> None:
    def stop(done: int, of: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        film(
            *pair, tmp_path / "out" / "film.mp4", seconds=1, fps=6, size=SMALL, processes=2,
            progress=stop,
        )  # fmt: skip
    assert list((tmp_path / "out").iterdir()) == []


@pytest.mark.slow
def test_a_killed_run_leaves_no_half_film(tmp_path: Path) -> None:
    script = textwrap.dedent(
        f"""
        import sys; sys.path.insert(0, {str(Path(samples.__file__).parent)!r})
        from pathlib import Path
        import samples
        from test_film import scene_of
        from sim.measure.measure import measure
        from sim.motion.solve import solve
        from sim.show.film.film import film
        one = samples.one_piece()
        film(scene_of(one), [measure(solve(one))], Path("film.mp4"), seconds=20, size={SMALL},
             processes=2, progress=lambda done, of: print(done, flush=True))
        """
    )
    run = subprocess.Popen(
        [sys.executable, "-c", script], cwd=tmp_path, stdout=subprocess.PIPE, text=True
    )
    assert run.stdout is not None
    assert run.stdout.readline().strip() == "1"
    run.send_signal(signal.SIGKILL)
    run.wait()
    run.stdout.close()
    time.sleep(0.5)
    assert not (tmp_path / "film.mp4").exists()
    assert not (tmp_path / "film.png").exists()


def test_a_painter_that_stops_says_why(
    pair: tuple[Scene, list[Measurements]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sim.show.film.painters._SURROUNDINGS", {"PYTHONHASHSEED": "nonsense"})
    with pytest.raises(EngineError, match="a painter of the film stopped: "):
        list(painted(tell(*pair, seconds=1, fps=4), SMALL, 2))


@pytest.mark.parametrize("size", [(1280, 700), (330, 186), (1281, 720)])
def test_an_odd_size_is_refused(size: tuple[int, int]) -> None:
    with pytest.raises(DomainError, match="16 to 9"):
        Sheet(size)


@pytest.mark.parametrize("count", [0, 3])
def test_a_film_shows_one_or_two_configurations(
    pair: tuple[Scene, list[Measurements]], count: int, tmp_path: Path
) -> None:
    scene, (one, _) = pair
    with pytest.raises(DomainError, match=f"1 or 2 configurations, not {count}"):
        film(scene, [one] * count, tmp_path / "film.mp4")


def test_a_state_out_of_reach_stops_the_film_before_a_frame_is_painted(tmp_path: Path) -> None:
    two = samples.two_piece()
    measured = measure(solve(two))
    assert two.travel is not None
    far = replace(two, travel=replace(two.travel, droop=0.9))
    with pytest.raises(GeometryError, match='configuration "two-piece"'):
        film(scene_of(far), [replace(measured, configuration=far)], tmp_path / "film.mp4")
    assert list(tmp_path.iterdir()) == []


def test_the_encoder_that_cannot_write_says_so(tmp_path: Path) -> None:
    frame = bytes(64 * 64 * 3)
    with pytest.raises(EngineError, match=r"the video encoder gave up on film\.mp4"):
        write_video(tmp_path / "missing" / "film.mp4", [frame] * 200, (64, 64), 24)


def test_the_closing_is_drawn_as_if_nothing_of_it_were_kept(painter: Painter) -> None:
    frame = painter.story.script.closing + 2
    assert painter.story.balance is not None
    kept = np.frombuffer(painter._paint(frame), np.uint8)
    assert painter.kept is not None
    buffer = painter.sheet.begin()
    for number, take in enumerate(painter.story.takes):
        left, top, right, bottom = painter._pixels(number)
        picture = painter.stages[number].picture(body_poses(take.motion, frame, 0))
        buffer[top:bottom, left:right, :3] = picture
    dials = [*painter.dials, *painter.ending]
    whole = painter.sheet.finish(artist for dial in dials for artist in dial.show(frame))
    assert np.array_equal(kept, np.frombuffer(whole, np.uint8))
