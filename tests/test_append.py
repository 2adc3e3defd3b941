"""A configuration appended to a scene: every byte that was there stays, the rest reads back."""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.commands.common import unchanged
from sim.errors import SceneError
from sim.scene.append import Addition, appended, check_name
from sim.scene.reader import load_scene, read_scene
from sim.show.files import write_bytes

SCENES = Path(__file__).parents[1] / "scenes"
TRUCK = SCENES / "orchard_service_truck.toml"
NEW = Addition(
    name="lower",
    like="two-piece",
    about='Hung "low"',
    lines=('bearing.1.up = "510 ± 3 mm"', 'pinion.nose_up = "0.5 deg"'),
    comment=("Found by a test.",),
)


def test_what_stood_there_stays_and_the_new_one_reads_back() -> None:
    raw = TRUCK.read_bytes()
    whole = appended(raw, TRUCK.name, NEW)
    assert whole.startswith(raw)
    assert whole[len(raw) :].decode() == (
        "\n# Found by a test.\n[configuration.lower]\n"
        'about = "Hung \\"low\\""\nlike = "two-piece"\n'
        'bearing.1.up = "510 ± 3 mm"\npinion.nose_up = "0.5 deg"\n'
    )
    scene = read_scene(whole, TRUCK.name)
    new, was = scene.configuration("lower"), scene.configuration("two-piece")
    assert (new.about, new.like) == ('Hung "low"', "two-piece")
    assert float(new.bearings[0].point[2]) == pytest.approx(0.510)
    assert new.readings["bearing.1.up"].spread == pytest.approx(0.003)
    assert float(new.bearings[0].point[0]) == float(was.bearings[0].point[0])


@pytest.mark.parametrize("path", sorted(SCENES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_scene_takes_one_more(path: Path) -> None:
    before = load_scene(path)
    like = before.configurations[-1].name
    new = Addition(name="one (more)", like=like, lines=('vehicle.top_speed = "61 km/h"',))
    after = read_scene(appended(path.read_bytes(), path.name, new, path.parent), path.name)
    names = [one.name for one in before.configurations]
    assert [one.name for one in after.configurations] == [*names, "one (more)"]


@pytest.mark.parametrize(
    ("ends", "tail"), [("\r\n", "\r\n"), ("\r", "\r"), ("\r\n", ""), ("\n", ""), ("\n", "\n")]
)
def test_new_lines_end_as_those_of_the_file(ends: str, tail: str) -> None:
    text = TRUCK.read_text(encoding="utf-8").rstrip("\n")
    raw = b"\xef\xbb\xbf" + text.replace("\n", ends).encode() + tail.encode()
    whole = appended(raw, "a.toml", NEW)
    added = whole[len(raw) :].decode()
    assert whole.startswith(raw)
    assert added.startswith(ends + "#" if tail else 2 * ends + "#")
    assert added.replace(ends, "").isprintable()
    assert added.endswith(ends)
    assert read_scene(whole, "a.toml").configuration("lower").like == "two-piece"


@pytest.mark.parametrize("name", ["two-piece", "Two-Piece", "ONE-PIECE"])
def test_a_name_that_is_taken_is_refused(name: str) -> None:
    raw = TRUCK.read_bytes()
    with pytest.raises(
        SceneError, match=r'truck\.toml: there is a configuration "(two|one)-piece"'
    ):
        check_name(raw, TRUCK.name, name)
    with pytest.raises(SceneError, match="already; give the new one another name"):
        appended(raw, TRUCK.name, Addition(name=name, like="two-piece", lines=()))


@pytest.mark.parametrize("name", ["", "-x", "a\n", "a]b", 41 * "x"])
def test_a_name_that_cannot_be_one_is_refused(name: str) -> None:
    with pytest.raises(SceneError, match="a name has at most 40 letters"):
        check_name(TRUCK.read_bytes(), TRUCK.name, name)


def test_what_the_scene_would_refuse_is_refused() -> None:
    raw = TRUCK.read_bytes()
    lines = ('bearing.1.up = "510 miles"',)
    with pytest.raises(SceneError, match=r"truck\.toml:\d+: .*bearing 1, up"):
        appended(raw, TRUCK.name, Addition(name="x", like="two-piece", lines=lines))
    with pytest.raises(SceneError, match="no-piece"):
        appended(raw, TRUCK.name, Addition(name="x", like="no-piece", lines=()))
    broken = raw + b'[configuration.two-piece.bearing.1]\nskew = "1 deg"\n'
    with pytest.raises(SceneError, match="written twice"):
        appended(broken, TRUCK.name, NEW)


def test_a_comment_cannot_end_its_line() -> None:
    new = Addition(name="x", like="two-piece", lines=NEW.lines, comment=("a\n[vehicle]",))
    assert rb"# a\u000a[vehicle]" in appended(TRUCK.read_bytes(), TRUCK.name, new)


def test_a_file_that_is_written_anew_keeps_who_may_read_it(tmp_path: Path) -> None:
    file = tmp_path / "truck.toml"
    file.write_bytes(TRUCK.read_bytes())
    file.chmod(0o640)
    write_bytes(file, appended(file.read_bytes(), file.name, NEW))
    assert file.stat().st_mode & 0o777 == 0o640
    assert load_scene(file).configuration("lower").like == "two-piece"


def test_a_file_that_was_changed_since_it_was_read_is_not_written(tmp_path: Path) -> None:
    file = tmp_path / "truck.toml"
    file.write_bytes(TRUCK.read_bytes())
    scene = load_scene(file)
    assert unchanged(scene, file) == TRUCK.read_bytes()
    file.write_bytes(TRUCK.read_bytes() + b"# by someone else\n")
    with pytest.raises(SceneError, match="was changed while designs were looked at"):
        unchanged(scene, file)
