"""A new vehicle from a file of readings, and the questions that ask for them."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from vehicles_read import SCENES, as_lines, readings

from sim import cli
from sim.errors import SceneError
from sim.scene.answers import understand, with_unit
from sim.scene.keys import QuantityKey
from sim.scene.questions import OWN, is_own, key_of, questions
from sim.scene.reader import load_scene
from sim.scene.readings import build, kept, read_readings
from sim.scene.stations import GUIDES
from sim.scene.table import NamedKey, Table
from sim.scene.tables.ends import OutputKeys
from sim.scene.tables.setup import Setup
from sim.scene.tables.shaft import TubeKeys
from sim.scene.tables.vehicle import VehicleKeys

READ = [
    ("orchard_service_truck", "one-piece"),
    ("orchard_service_truck", "two-piece-wedged"),
    ("lowered_street_van", "two-piece"),
    ("courier_estate_car", "as-hung"),
    ("long_three_piece_chassis", "three-piece"),
    ("trail_ambulance", "double-cardan-and-bar"),
]
SHORT = """\
title = Van
datum = front wheel center, rail bottom
display = metric
rules = two-piece service
vehicle.axle_ratio = 4.10
vehicle.tire_radius = 395
vehicle.top_speed = 120
output.aft = 1745 ± 3
output.down = 68
output.slope = 3.0 +/- 0.25
pinion.aft = 3644
pinion.down = 258
pinion.slope = 3.0
axle.aft = 3990
axle.down = 241
shaft.1.tube.outside = 101.6
shaft.1.tube.wall = 2.1
spline.at = output
spline.gap = 40
spline.engaged = 70
"""


def write_new(folder: Path, text: str) -> int:
    (folder / "readings.txt").write_text(text, encoding="utf-8")
    return cli.main(["new", str(folder / "van.toml"), "--from", str(folder / "readings.txt")])


@pytest.mark.parametrize(("scene", "configuration"), READ)
def test_readings_of_a_shipped_scene_make_the_same_vehicle(
    scene: str, configuration: str, tmp_path: Path, capsys
) -> None:
    assert write_new(tmp_path, as_lines(readings(scene, configuration))) == 0
    was = load_scene(SCENES / f"{scene}.toml").configuration(configuration)
    (now,) = load_scene(tmp_path / "van.toml").configurations
    assert now.design.values == was.design.values
    felt = {name: (*of[:2], None) for name, of in was.design.structure.complaints.items()}
    assert now.design.structure == replace(was.design.structure, complaints=felt)
    for path, reading in was.readings.items():
        assert (now.readings[path].spread, now.readings[path].text) == (
            reading.spread,
            reading.text,
        )
    assert "Next: halfturn check" in capsys.readouterr().out


def test_the_scene_is_commented_and_the_same_whatever_the_order(tmp_path: Path) -> None:
    lines = SHORT.splitlines(keepends=True)
    read = read_readings("".join(lines).encode(), "r.txt")
    turned = read_readings("".join(reversed(lines)).encode(), "r.txt")
    (_, text), (_, again) = build(read), build(turned)
    assert text == again
    assert 'slope = "3.0 ± 0.25 deg"                 # slope of the output axis\n' in text
    assert 'aft = "1745 ± 3 mm" ' in text
    assert text.index("[vehicle]") < text.index("[output]") < text.index("[configuration.one-piece")
    assert max(map(len, text.splitlines())) <= 100
    more = SHORT + "joint.1.kind = double cardan\nseries = 1410\n"
    hung = build(read_readings(more.encode(), "r.txt"))[1].partition("[configuration.one-piece]")[2]
    assert "[configuration.one-piece.joint.1]\nkind = " in hung
    assert 'series = "1410"' in hung


def test_every_problem_is_told_at_once_with_its_line(tmp_path: Path, capsys) -> None:
    wrong = (
        SHORT.replace("output.slope = 3.0 +/- 0.25\n", "")
        .replace("pinion.aft = 3644", "pinion.aft = 3644 lb\npinion.aft = 3644")
        .replace("spline.at = output", "spline.at = outside")
        .replace("shaft.1.tube.outside = 101.6", "shaft.1.tube.outside = 10160")
        .replace("shaft.1.tube.wall = 2.1", "shaft.1.tube.bore = 2.1")
        + "# a comment\n\nsuspension.kind = leaf\nnothing here\nthe = 1\n"
    )
    assert write_new(tmp_path, wrong) == 2
    said = capsys.readouterr().err
    for words in (
        'readings.txt:10: pinion.aft is "3644 lb": lb is the unit of a load',
        "readings.txt:11: pinion.aft is written twice, first on line 10",
        'readings.txt:18: spline.at is "outside"; allowed: output, midship, shaft',
        "readings.txt:17: shaft 1, tube.bore is not a known key",
        'readings.txt:24: "nothing here" is no reading',
        "readings.txt:25: the is not a known key",
        "readings.txt: output.slope is missing; Slope of the output axis",
        "readings.txt: shaft 1, tube.wall is missing",
        "readings.txt: suspension.front_eye.aft or forward is missing; Front eye of the spring: "
        "distance behind the datum",
        "readings.txt: travel.droop is missing",
    ):
        assert words in said, said
    assert not (tmp_path / "van.toml").exists()
    told = re.findall(r"readings\.txt:(\d+):", said)
    assert len(told) == len(set(told)), said


@pytest.mark.parametrize(
    ("line", "allowed"), [("pieces = two", "1, 2, 3"), ("readings = few", "1, 2, 3, 4, 5")]
)
def test_what_decides_on_questions_and_is_wrong_is_told_alone(
    line: str, allowed: str, tmp_path: Path, capsys
) -> None:
    assert write_new(tmp_path, SHORT + line + "\n") == 2
    word, _, value = line.partition(" = ")
    (said,) = capsys.readouterr().err.splitlines()
    assert said.startswith(f'readings.txt:21: {word} is "{value}"; allowed: {allowed}')


def test_what_is_blank_on_the_sheet_may_be_left_out(tmp_path: Path) -> None:
    """The sheet says beside both boxes what holds while they are blank."""
    lines = SHORT.splitlines(keepends=True)
    blank = [one for one in lines if not one.startswith(("datum", "rules", "display"))]
    assert write_new(tmp_path, "".join(blank)) == 0
    scene = load_scene(tmp_path / "van.toml")
    assert (scene.rules, scene.display) == ("two-piece service", "metric")
    assert scene.datum.startswith("aft of the front wheel center, up from the ground")


def test_what_the_reader_refuses_of_good_lines_is_told_by_its_line(tmp_path: Path, capsys) -> None:
    assert write_new(tmp_path, SHORT.replace("pinion.aft = 3644", "pinion.aft = 1644")) == 2
    said = capsys.readouterr().err
    assert re.search(r"readings\.txt:\d+: .*pinion", said), said
    assert write_new(tmp_path, SHORT + "output.up = 68 mm\n") == 2
    assert "readings.txt:" in (said := capsys.readouterr().err)
    assert "output has both up and down; keep one" in said


def test_a_doubt_is_told_with_the_line_of_the_reading(tmp_path: Path, capsys) -> None:
    text = SHORT.replace("vehicle.tire_radius = 395", "vehicle.tire_radius = 695")
    assert write_new(tmp_path, text) == 0
    said = capsys.readouterr().out
    assert "readings.txt:6: doubtful: vehicle.tire_radius is 695 mm; usual is 240 to 600 mm" in said


def test_a_scene_is_never_written_over(tmp_path: Path, capsys) -> None:
    assert write_new(tmp_path, SHORT) == 0
    before = (tmp_path / "van.toml").read_bytes()
    assert write_new(tmp_path, SHORT.replace("Van", "Other")) == 2
    assert "is there already" in capsys.readouterr().err
    assert (tmp_path / "van.toml").read_bytes() == before
    assert cli.main(["new", str(tmp_path / "van.txt")]) == 2
    assert "a scene ends in .toml: van.toml" in capsys.readouterr().err
    assert cli.main(["new", str(tmp_path / "-van.toml")]) == 2
    assert "cannot be the name of a file" in capsys.readouterr().err
    assert cli.main(["new", str(tmp_path / "other.toml")]) == 2
    assert "no terminal to ask in" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("display", "path", "written", "text"),
    [
        ("inch", "output.aft", "43-1/2", "43-1/2 in"),
        ("inch", "output.aft", "43-1/2 ± 1/8", "43-1/2 ± 1/8 in"),
        ("metric", "output.aft", "43-1/2 in", "43-1/2 in"),
        ("metric", "output.slope", "3 +/- .25 to level", "3 ± .25 deg to level"),
        ("metric", "vehicle.axle_ratio", "4.10", "4.10 to 1"),
        ("metric", "vehicle.axle_load", "1448 ± 30", "1448 ± 30 kg"),
        ("inch", "vehicle.axle_load", "3200", "3200 lb"),
        ("metric", "suspension.rate", "48 ± 20 %", "48 N/mm ± 20 %"),
        ("metric", "vehicle.tire_grip", "90 ± 10", "90 ± 10 %"),
        ("metric", "vehicle.cylinders", "8", "8 cylinders"),
    ],
)
def test_a_unit_left_out_is_that_of_the_display(display, path, written, text) -> None:
    key = key_of(tuple(path.split(".")), "leaf")
    assert isinstance(key, QuantityKey)
    assert with_unit(key.limits, written, display) == text
    key.limits.read(text)


def test_sizes_without_a_unit_are_those_of_the_display(tmp_path: Path) -> None:
    space = (
        "brace.1.from.aft = 85\nbrace.1.from.up = 18\nbrace.1.to.aft = 102\nbrace.1.to.up = 23\n"
    )
    shims = "brace.1.shims = 1/16, 1/8  # both\n"
    assert write_new(tmp_path, SHORT.replace("metric", "inch") + space + shims) == 2
    read = read_readings((SHORT.replace("metric", "inch") + space + shims).encode(), "r.txt")
    assert read.answers["brace", "1", "shims"] == "1/16, 1/8 in"


def test_answers_are_taken_under_the_word_they_name_and_to_level() -> None:
    answers = {("slopes",): "level", ("display",): "metric"}
    by_path = {one.path: one for one in questions(answers)}
    up, slope = by_path["output", "up"], by_path["output", "slope"]
    for written in ("68 down", "down 68", "68 mm down"):
        meant = understand(up, written, answers)
        assert (meant.path, meant.text, meant.problem) == (("output", "down"), "68 mm", "")
    assert understand(up, "568 up", answers).path == ("output", "up")
    assert understand(slope, "3", answers).text == "3 deg to level"
    assert understand(by_path["frame", "slope"], "-1.2", answers).text == "-1.2 deg"
    assert "allowed" in understand(slope, "33", answers).problem
    place = understand(by_path["pinion", "aft"], "364", {**answers, ("output", "aft"): "1745 mm"})
    assert place.doubt == " is 364 mm; it belongs behind output, whose aft is 1745 mm"
    tire = understand(by_path["vehicle", "tire_radius"], "695", answers)
    assert tire.doubt == " is 695 mm; usual is 240 to 600 mm; is it 596 mm?"  # digits swapped


def test_kept_answers_read_back_alike() -> None:
    read = read_readings(as_lines(readings("orchard_service_truck", "two-piece")).encode(), "r.txt")
    again = read_readings(kept(read.answers).encode(), "r.txt")
    assert again.answers == read.answers
    assert not again.problems


def everything(kind: str) -> dict[tuple[str, ...], str]:
    """Answers that open every question of a vehicle of three pieces."""
    answers = {
        ("suspension", "kind"): kind,
        ("pieces",): "3",
        ("slopes",): "level",
        ("joints",): "1, 2",
        ("joint", "1", "kind"): "double cardan",
        ("joint", "2", "kind"): "constant velocity",
        ("pinion", "nose_up"): "1 deg",
        ("readings",): "2",
        ("heights",): "loaded",
        ("obstacles",): "fuel tank, pipe",
        ("complaints",): "boom",
        ("left_holes",): "old hanger",
        ("right_holes",): "old hanger",
    }
    for _ in range(3):
        answers |= {one.path: "yes" for one in questions(answers) if one.path[0] == "more"}
    return answers


def needed_keys(table: type[Table], path: tuple[str, ...], kind: str) -> set[tuple[str, ...]]:
    """Every key that must be written in the tables that must be there, derived anew."""
    found = set()
    for word, key in table.declared().items():
        here = (*path, word)
        if path and (word in table.NEEDS or (key.needed and not key.tables())):
            found.add(here)
        inside = word == "suspension" or key.needed
        for inner in key.tables() if inside else ():
            own = inner.declared().get("kind")
            if word == "suspension" and own.choices != (kind,):
                continue
            step = ("1",) if isinstance(key, NamedKey) else ()
            found |= needed_keys(inner, (*here, *step), kind)
    return found


@pytest.mark.parametrize("kind", GUIDES)
def test_every_needed_key_is_asked_and_every_asked_path_is_a_key(kind: str) -> None:
    asked = {one.path: one for one in questions(everything(kind))}
    needed = needed_keys(Setup, (), kind)
    assert {("output", "slope"), ("shaft", "1", "tube", "wall"), ("axle", "up")} < needed
    for path in needed:
        assert path in asked, path
        assert asked[path].needed, path
    for path, question in asked.items():
        assert is_own(path) or path in OWN or type(key_of(path, kind)) is type(question.key), path
        assert question.asks, path
    titles = [one.station.title for one in questions(everything(kind))]
    assert not any(re.search(r"\b(N|NAME)\b", title) for title in titles)


def test_what_is_asked_follows_what_is_answered() -> None:
    def asked(**answers: str) -> set[str]:
        return {one.name for one in questions({(word,): text for word, text in answers.items()})}

    one, two = asked(pieces="1"), asked(pieces="2")
    assert {"bearing.1.aft", "shaft.2.tube.wall", "more.output spline"} <= two - one
    assert "frame.slope" in asked(slopes="level") - one
    assert not any(name.startswith(("suspension.f", "travel")) for name in two)
    assert {f"obstacle.tank.{end}.up" for end in ("from", "to")} <= asked(obstacles="tank")
    plunging = {("joints",): "1", ("joint", "1", "kind"): "constant velocity"}
    plunging |= {("joint", "1", "plunge"): "40 mm"}
    assert ("spline", "gap") not in {one.path for one in questions(plunging)}
    assert {key.needed for key in (VehicleKeys.axle_ratio, OutputKeys.slope, TubeKeys.wall)} == {
        True
    }


def test_readings_alone_open_the_questions_they_answer() -> None:
    found = readings("orchard_service_truck", "two-piece")
    answers = read_readings(as_lines(found).encode(), "r.txt").answers
    asked = {one.path for one in questions(answers)} | {one.other for one in questions(answers)}
    own = {("about",)}
    assert {path for path, _ in found} - own <= asked
    assert ("brace", "1", "foot", "holes") in asked
    assert ("shaft", "2", "tube", "wall") in asked


def test_no_file_at_all_is_refused_in_one_line(tmp_path: Path, capsys) -> None:
    assert cli.main(["new", str(tmp_path / "a.toml"), "--from", str(tmp_path / "no.txt")]) == 2
    assert capsys.readouterr().err.startswith("no.txt: cannot be read")
    with pytest.raises(SceneError, match="not saved as UTF-8"):
        read_readings(b"output.aft = 3 \xb1 1 mm\n", "r.txt")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("pieces = two", 'pieces is "two"'),
        ("pieces = -", 'pieces is "-"'),
        ("shaft.one.tube.wall = 2.1", "shaft"),
        ("suspension.kind = measured\nreadings = -", 'readings is "-"'),
    ],
)
def test_what_decides_on_questions_is_one_of_its_choices(
    line: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert write_new(tmp_path, f"{SHORT}{line}\n") == 2
    err = capsys.readouterr().err
    assert said in err
    assert "Traceback" not in err
