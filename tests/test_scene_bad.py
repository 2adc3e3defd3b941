"""Bad scenes: each says in plain words what is wrong; every file names the words to expect."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from sim.errors import SceneError
from sim.scene.reader import load_scene, read_scene
from sim.scene.table import NamedKey
from sim.scene.tables.setup import Setup
from sim.scene.text import MOST_LINES

BAD = sorted((Path(__file__).parent / "bad_scenes").glob("*.toml"))
MARK = "# expect: "


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_bad_scene_says_what_is_wrong(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    expected = [line.removeprefix(MARK) for line in lines if line.startswith(MARK)]
    with pytest.raises(SceneError) as caught:
        load_scene(path)
    said = str(caught.value).splitlines()
    assert expected
    assert all(any(words in line for line in said) for words in expected), said
    assert len(said) <= len(expected) + 2, "one slip, many complaints"
    assert all(line.startswith(path.name) and line.isprintable() for line in said)


def test_there_are_enough_bad_scenes() -> None:
    assert len(BAD) >= 45


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"", 'format is missing; write format = "halfturn scene 1" at the top'),
        (b"", "no configuration: name at least one"),
        (b"\x7fELF\x02\x01\x00\x00\x01", "the file is binary; a scene is a text file, UTF-8"),
        ('title = "Säge"'.encode("cp1252"), "the file is not saved as UTF-8$"),
        ('x = "3 ± 1 mm"'.encode("cp1252"), "UTF-8; is it the ± sign"),
        ('title = "x"'.encode("utf-16"), "saved as UTF-16; save it as UTF-8"),
        (b"\n" * MOST_LINES, f"the file goes on for {MOST_LINES + 1} lines"),
        (b"x = " + b"[" * 900, "x = \\[+: values go in quotes|nested too deeply"),
        (b"x = " + b"9" * 990, "scene.toml:1: x is not a known key"),
    ],
)
def test_what_is_no_scene_text_is_refused(raw: bytes, said: str) -> None:
    with pytest.raises(SceneError, match=said):
        read_scene(raw)


def test_a_huge_file_is_refused_without_reading_it_all(tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(SceneError, match="the file has over 256 kB, the most for a scene"):
        load_scene(path)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SceneError, match=r"^gone\.toml: cannot be read: no such file"):
        load_scene(tmp_path / "gone.toml")
    with pytest.raises(SceneError, match="cannot be read: is a directory"):
        load_scene(tmp_path)


def test_a_pipe_is_refused_at_once(tmp_path: Path) -> None:
    pipe = tmp_path / "scene.toml"
    os.mkfifo(pipe)  # reading it would wait for a writer that never comes
    for path in (pipe, Path("/dev/zero")):
        with pytest.raises(SceneError, match="is no file but a pipe or a device"):
            load_scene(path)


def test_a_file_name_sends_nothing_to_the_terminal(tmp_path: Path) -> None:
    path = tmp_path / "\x1b[31mred.toml"
    for text in ("", 'format = "halfturn scene 1"\nx = 5\n' * 60):
        path.write_text(text)
        with pytest.raises(SceneError) as caught:
            load_scene(path)
        assert str(caught.value).startswith("\\u001b[31mred.toml:")
        assert "\x1b" not in str(caught.value)
    with pytest.raises(SceneError, match="cannot be read"):
        load_scene(Path("nul\0.toml"))


def test_limits_of_size_leave_room_for_every_shipped_scene() -> None:
    keys = Setup.declared().items()
    most = {word: key.most for word, key in keys if isinstance(key, NamedKey)}
    assert set(most) >= {"height", "torque_case", "obstacle", "complaint", "duty", "road_speed"}
    assert max(most.values()) <= 40
    assert most["height"] * most["torque_case"] <= 400  # states are their product


def test_no_words_of_the_parser_are_shown() -> None:
    for row in ('= "5"', 'a..b = "x"', 'up = "\\q"', 'é = "5"', 'up = "5"x', 'up == "5"', "x ~ y"):
        with pytest.raises(SceneError) as caught:
            read_scene(f"{row}\n".encode())
        assert not re.search("statement|hex|initial|illegal|expected|unescaped", str(caught.value))


def test_every_problem_is_said_at_once_in_the_order_of_lines() -> None:
    text = (Path(__file__).parent / "bad_scenes" / "unit_missing.toml").read_text("utf-8")
    text = text.replace('bump = "95 mm"', 'bump = "95 deg"').replace('"120 km/h"', '"120 kmh"')
    with pytest.raises(SceneError) as caught:
        read_scene(text.encode())
    said = str(caught.value).splitlines()
    assert [line.split(": ")[1].split(" ")[0] for line in said] == [
        "vehicle.top_speed",
        "output.up",
        "travel.bump",
    ]


def test_a_problem_in_an_inherited_line_is_said_once() -> None:
    text = (Path(__file__).parent / "bad_scenes" / "unit_missing.toml").read_text("utf-8")
    text += '\n[configuration.third]\nlike = "two-piece"\nbearing.1.up = "525 mm"\n'
    with pytest.raises(SceneError) as caught:
        read_scene(text.encode())
    assert len(caught.value.problems) == 1
