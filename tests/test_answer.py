"""The answer against geometry worked out here, and its page read back by other libraries."""

from __future__ import annotations

import functools
import json
import re
from dataclasses import replace
from fractions import Fraction
from html import unescape
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import paper
import pytest

from sim import cli, run
from sim.display import display_of
from sim.outcome import Outcome
from sim.scene.parts import Scene
from sim.scene.reader import load_scene, read_scene
from sim.show.answer import Answer, answer_of
from sim.show.answer_lines import answer_lines
from sim.show.answer_words import to_order
from sim.show.paper.answer import write_answer
from sim.show.paper.answer_view import side_view_svg
from sim.show.report import report

SCENES = Path(__file__).parents[1] / "scenes"
EVERY = [*sorted(SCENES.glob("*.toml")), *sorted((SCENES / "mistakes").glob("*.toml"))]
TRUCK, VAN = SCENES / "orchard_service_truck.toml", SCENES / "lowered_street_van.toml"
THREE = SCENES / "long_three_piece_chassis.toml"
SIGN_LOST = SCENES / "mistakes" / "slope_with_its_sign_lost.toml"
TOO_HIGH = SCENES / "mistakes" / "bearing_hung_far_too_high.toml"
INCH = 25.4


@functools.cache
def judged(path: Path, only: str | None = None) -> Outcome:
    return run.check(load_scene(path), only=only)


@functools.cache
def told(path: Path, only: str | None = None) -> Answer:
    outcome = judged(path, only)
    return answer_of(outcome.scene, outcome.results, outcome.rules)


def page(answer: Answer, folder: Path, size: str = "a4") -> str:
    path = write_answer(answer, folder, size)
    paper.check_sheet(path, size, 1)
    return paper.words(path)


def lengths_of_the_truck() -> tuple[float, float, float]:
    """Joint 1 to bearing, to joint 2, to joint 3 [mm], from the readings in the demo scene.

    The bearing 504 mm up; the pinion turned by 1 deg, nose up, about the axle center.
    """
    output, bearing = np.array([1745.0, 0.0, 568.0]), np.array([2540.0, 0.0, 504.0])
    axle, read = np.array([3990.0, 0.0, 395.0]), np.array([3643.6, 20.0, 378.1])
    turn, (aft, right, up) = np.radians(1.0), read - axle
    turned = aft * np.cos(turn) + up * np.sin(turn), right, -aft * np.sin(turn) + up * np.cos(turn)
    pinion = axle + np.array(turned)
    first = np.linalg.norm(bearing - output)
    joint = bearing + 115 * (bearing - output) / first
    return float(first), 115.0, float(np.linalg.norm(pinion - joint))


def test_the_page_has_the_lengths_that_geometry_gives(tmp_path: Path) -> None:
    first, stub, last = lengths_of_the_truck()
    answer = told(TRUCK)
    said = page(answer, tmp_path)
    for length in (first, stub, last, first + stub):
        assert f"{length:.0f} mm" in said
    # crossmember from 2700 mm aft, 600 mm up; rails' bottom edges 636 mm up
    assert "132 mm below the rails' bottom edges" in said
    assert "160 mm ahead of the front face of the frame crossmember, 96 mm below it" in said
    assert "2540 mm aft, in the middle, 504 mm up" in said
    assert "level ground, wheels blocked, rated stands" in said
    assert "Look behind the rail for lines, wires and a tank." in said  # there is a tank
    # 3.0 deg as read and a wedge of 1 deg; the lowest row at 492 mm, a row every 12 mm
    assert "Wedge at the pinion: 1.0 deg nose up; its slope to the frame is then 4.0 deg" in said
    assert "hole row 2 from below, no shims" in said
    spans = [span.length * 1e3 for span in answer.spans]
    assert spans == pytest.approx([first, stub, last], abs=0.05)


def test_joints_that_are_not_plain_are_ordered_by_their_kinds() -> None:
    def joints(name: str, only: str) -> list[str]:
        (result,) = run.check(load_scene(SCENES / name), only=only, as_read=True).results
        lines = to_order(result.measurements, display_of("metric"))
        return [line.words for line in lines if line.name == "Joints"]

    mixed = ["joint 1 double cardan, joint 2 universal"]
    assert joints("trail_ambulance.toml", "double-cardan-and-bar") == mixed
    assert joints(TRUCK.name, "two-piece-chosen") == ["series 1550"]
    assert joints(TRUCK.name, "two-piece") == []


def test_a_bearing_hangs_from_what_a_tape_finds_in_three_pieces(tmp_path: Path) -> None:
    answer = told(THREE)
    said = page(answer, tmp_path, "letter")
    assert "ride height, front left" in said  # the side view has room
    text = THREE.read_text(encoding="utf-8")
    cross = text.partition('obstacle."third crossmember"]')[2].partition("[")[0]
    ends = [float(aft) for aft in re.findall(r'aft = "(\d+) mm', cross)]
    under = min(float(up) for up in re.findall(r'up = "(\d+) mm', cross))
    for hang in answer.hangs:
        aft, _, up = hang.place * 1e3
        front = min(ends)
        face = front if aft < front else max(ends)
        ahead = "ahead of the front" if aft < front else "behind the rear"
        assert (
            f"Bearing {hang.number} {abs(face - aft):.0f} mm {ahead} face of the third "
            f"crossmember, {under - up:.0f} mm below it" in said
        )


def test_the_van_is_told_in_fractions_with_its_cure_carried_out(tmp_path: Path) -> None:
    answer = told(VAN)
    said = page(answer, tmp_path, "letter")
    assert answer.headline == "Build two-piece, changed"
    assert answer.write == ('bearing.1.up = "14-1/32 ± 1/16 in"',)
    written = load_scene(VAN, changes=answer.write, only="two-piece")
    bearing = written.configuration("two-piece").bearings[0].point / 0.0254
    output = written.configuration("two-piece").output.point / 0.0254
    assert bearing[2] == pytest.approx(14 + 1 / 32)
    whole, part = divmod(round(float(np.linalg.norm(bearing - output)) * 32), 32)
    assert f"{whole}-{Fraction(part, 32)} in" in said
    assert "14-1/32 in up" in said
    assert " mm" not in said
    assert answer.sound


def test_the_cured_design_is_the_one_that_the_written_scene_gives() -> None:
    answer = told(TOO_HIGH)
    assert answer.write
    written = load_scene(TOO_HIGH, changes=answer.write)
    again = run.check(written)
    assert not again.may_fail
    outcome = answer_of(written, again.results, again.rules)
    assert outcome.write == ()
    assert [s.length for s in outcome.spans] == pytest.approx([s.length for s in answer.spans])
    assert outcome.matters == answer.matters
    as_read = judged(TOO_HIGH).results[0].measurements
    assert answer.result.measurements.as_built[0].length != as_read.as_built[0].length


def test_a_design_that_fails_has_no_lengths_and_says_what_stands_in_the_way(tmp_path: Path) -> None:
    answer = told(SIGN_LOST)
    said = page(answer, tmp_path)
    assert answer.headline == "Nothing to build yet"
    assert not answer.sound
    assert (answer.spans, answer.hangs, answer.order, answer.before) == ((), (), (), ())
    assert "Order nothing and drill nothing yet" in said
    assert "In the way" in said
    worst = judged(SIGN_LOST).results[0].findings.findings[0]
    assert worst.what in said
    built = judged(SIGN_LOST).results[0].measurements.as_built
    assert not any(f"{shaft.length * 1e3:.0f} mm" in said for shaft in built)


@pytest.mark.parametrize("swap", [False, True])
def test_the_sentence_names_the_right_layout(swap: bool) -> None:
    text = TRUCK.read_text(encoding="utf-8").partition("\n# Chosen by")[0]
    text = re.sub(r"(?m)^compare = .*\n", "", text)
    if swap:  # the same layouts under each other's names
        names = {"one-piece": "two-piece-chosen", "two-piece-chosen": "one-piece"}
        text = re.sub(r"two-piece-chosen|one-piece", lambda found: names[found[0]], text)
    fails = "two-piece-chosen" if swap else "one-piece"
    text += f'\n[configuration.last]\nlike = "{fails}"\n'
    scene = read_scene(text.encode(), "truck.toml")
    outcome = run.check(scene, as_read=True)
    answer = answer_of(scene, outcome.results, outcome.rules)
    good, bad = ("one-piece", "two-piece-chosen") if swap else ("two-piece-chosen", "one-piece")
    assert answer.headline == f"Build {good}"
    assert answer.name == good
    assert answer.why.startswith("Nothing on it fails or is open")
    assert f"{bad} is not sound" in answer.why
    assert len(answer.spans) == 3


def test_another_layout_is_answered_when_it_is_asked_for() -> None:
    answer = told(TRUCK, "one-piece")
    assert answer.headline == "For less than asked: one-piece, changed"
    assert 'vehicle.top_speed = "120 km/h"' in answer.write
    assert "up to 120 km/h" in answer.holds
    assert answer.hangs == ()
    assert [span.end.name for span in answer.spans] == ["joint 2"]


def test_what_is_open_is_told_with_the_reading_that_settles_it() -> None:
    outcome = judged(VAN, "two-piece")
    raw = replace(outcome.results[0], findings=replace(outcome.results[0].findings, after=None))
    answer = answer_of(outcome.scene, (raw,), outcome.rules)
    asked = next(f for f in raw.findings.findings if f.verdict == "cannot be told")
    assert answer.unsettled[0].startswith("Joint 1 0.34 deg, at most 0.50 deg")
    both = {"output.up (15-3/4 ± 1/16 in)", "bearing.1.up (14 ± 1/16 in)"}  # of about one share
    read = answer.unsettled[0].partition("; read ")[2].removesuffix(" closer.")
    assert set(read.split(" and ")) == both
    assert f"passes in {100 * asked.probability:.0f} %" in answer.unsettled[0]


@pytest.mark.parametrize("path", [TRUCK, VAN, THREE, SIGN_LOST], ids=lambda p: p.stem)
def test_the_terminal_says_in_about_30_lines_what_the_page_says(path: Path, tmp_path: Path) -> None:
    answer = told(path)
    lines = list(answer_lines(answer))
    assert len(lines) <= 35
    assert max(map(len, lines)) <= 110
    text, said = " ".join(" ".join(lines).split()), page(answer, tmp_path)
    assert answer.holds in text
    for line in answer.matters:
        assert f"{line.name} {line.key} {line.words}" in text
        assert line.key in said
        assert re.split(r"; | \(", line.words)[0] in said  # a full page leaves out whole clauses


def test_a_page_is_the_same_bytes_twice(tmp_path: Path) -> None:
    first = write_answer(told(TRUCK), tmp_path).read_bytes()
    assert write_answer(told(TRUCK), tmp_path / "again").read_bytes() == first
    assert [p.name for p in tmp_path.iterdir() if p.is_file()] == ["answer.pdf"]


def renamed(scene: Scene) -> Scene:
    """Return a scene whose title is as long as one may be."""
    return replace(
        scene, title="Wide utility body with the very long name of a very long vehicle W"[:80]
    )


@pytest.mark.parametrize("path", EVERY, ids=lambda p: p.stem)
def test_every_scene_fits_on_one_page(path: Path, tmp_path: Path) -> None:
    outcome = run.check(load_scene(path), as_read=True)
    for display, size in (("metric", "a4"), ("inch", "letter")):
        scene = replace(renamed(outcome.scene), display=display)
        answer = answer_of(scene, outcome.results, outcome.rules)
        said = page(answer, tmp_path / f"{display}-{size}", size)
        assert answer.headline in said
        assert answer.holds in said
        assert ("ride height, front left" in said) == answer.sound


@pytest.mark.parametrize("path", [TRUCK, THREE], ids=lambda p: p.stem)
def test_long_names_fit_on_one_page(path: Path, tmp_path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for word in ("frame crossmember", "third crossmember", "bed cross sill"):
        text = text.replace(word, f"{word} {'of the W frame ' * 3}"[:40].strip())
    for word in ("one-piece", "two-piece", "three-piece"):
        text = re.sub(rf"\b{word}\b", f"{word}-{'with-the-W-frame-' * 2}"[:31], text)
    text = re.sub(r"(?<=height.)loaded|(?<=height = \")loaded", "loaded-" * 5 + "full", text)
    text = re.sub(r'(?m)^datum = ".*"', f'datum = "{"aft of the front wheel " * 6}"', text)
    outcome = run.check(read_scene(text.encode(), "truck.toml"), as_read=True)
    for size in ("a4", "letter"):
        answer = answer_of(renamed(outcome.scene), outcome.results, outcome.rules)
        assert answer.headline in page(answer, tmp_path, size)


def test_the_page_says_where_there_is_more_that_is_not_settled(tmp_path: Path) -> None:
    answer = replace(told(TRUCK), unsettled=("First reading.", *("Another reading. " * 30,) * 4))
    said = page(answer, tmp_path, "letter")
    assert "First reading. More: halfturn check --all." in said
    whole = replace(answer, unsettled=("First reading.",))
    assert "More: halfturn" not in page(whole, tmp_path, "letter")


def test_the_command_prints_and_writes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["answer", str(SCENES / "mistakes" / "sound_one_piece.toml"), "--out", str(tmp_path)]
    assert cli.main([*words, "--paper", "letter"]) == 0
    said = capsys.readouterr().out
    path = tmp_path / "sound_one_piece" / "answer.pdf"
    assert "build one-piece" in said
    assert str(path) in said
    assert f"Next: halfturn sheet {words[1]} --only one-piece\n" in said
    assert paper.sizes(path)[0] == pytest.approx((215.9, 279.4), abs=0.01)
    assert cli.main([*words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["headline"] == "Build one-piece"
    assert found["sound"] is True
    assert [one["from"] for one in found["lengths"]] == ["joint 1"]
    assert len(found["matters"]) == 5
    assert paper.sizes(path)[0] == pytest.approx((210.0, 297.0), abs=0.01)


def test_the_report_begins_with_the_answer_and_links_the_page(tmp_path: Path) -> None:
    answer, outcome = told(TRUCK), judged(TRUCK)
    path = report(outcome.scene, outcome.results, tmp_path, answer=answer)
    text = path.read_text(encoding="utf-8")
    assert text.index("<h2>Build two-piece-chosen</h2>") < text.index('id="verdicts"')
    assert '<a href="answer.pdf">' in text
    plain = unescape(re.sub(r"<[^>]+>", "", text))
    for line in (*answer.matters, *answer.order):
        assert line.words in plain
    for sentence in (*answer.before, *answer.unsettled, answer.holds, answer.why):
        assert sentence in plain
    assert text.count('class="lead"') == 2  # what the scene is about, and why: said once
    view = ElementTree.fromstring(re.search(r"<svg class=.*?</svg>", text, re.S)[0])
    numbers = [node.text for node in view.iter() if node.tag.endswith("text")]
    first, stub, last = lengths_of_the_truck()
    for length in (first, stub, last, 160):
        assert f"{length:.0f} mm" in numbers


def test_the_view_of_the_report_stands_in_its_frame_to_scale() -> None:
    view = ElementTree.fromstring(side_view_svg(told(TRUCK)))
    left, top, wide, high = map(float, view.get("viewBox").split())
    rings = [node for node in view.iter() if node.tag.endswith("circle")]
    centers = np.array([[float(node.get(k)) for k in ("cx", "cy")] for node in rings])
    assert (centers > [left, top]).all()
    assert (centers < [left + wide, top + high]).all()
    joints = centers[:3]  # 1 and 3 are 3643.6 − 1745 mm apart along the frame, less the wedge
    across = joints[2] - joints[0]
    drop = lengths_of_the_truck()
    assert np.hypot(*across) == pytest.approx(sum(drop) / 14, rel=0.01)
