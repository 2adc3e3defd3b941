"""Build sheet and hand-over page, read back: lengths against geometry by hand, pages, fonts."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from paper import check_sheet, texts, words

from sim.cli import main
from sim.display import METRIC, TRADE_INCH
from sim.errors import SimError
from sim.explore import allowed as windows
from sim.explore.allowed_rooms import Adjustment, Room, adjustments_of
from sim.judge.rules import load_rules
from sim.run import check
from sim.scene.reader import load_scene, read_scene
from sim.show.building import Building, building_of
from sim.show.fitted import fitted, hole_words
from sim.show.paper.build import write_build_sheet
from sim.show.paper.build_order import shaft_orders
from sim.show.paper.build_words import room_words, tape_window
from sim.show.paper.build_work import torque_words
from sim.show.paper.handover import write_hand_over

SCENES = Path(__file__).parent.parent / "scenes"
TRUCK, VAN = "orchard_service_truck", "lowered_street_van"
HIGHER = Adjustment(name="bearing 1 up", paths={"bearing.1.up": 1.0}, back=0.04, forth=0.04)
SHIPPED = sorted(path.stem for path in SCENES.glob("*.toml"))


@cache
def built(name: str, only: str, cures: bool = False, even_failing: bool = False) -> Building:
    """Return a layout of a shipped scene; without cures its readings are taken as exact."""
    scene = load_scene(SCENES / f"{name}.toml", only=only)
    results = check(scene, only=only, as_read=not cures, cures=cures).results
    return building_of(scene, results, load_rules(scene.rules), even_failing=even_failing)


@pytest.fixture(scope="module")
def truck(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_build_sheet(built(TRUCK, "two-piece-wedged"), tmp_path_factory.mktemp("a"), "a4")


def places() -> dict[str, np.ndarray]:
    """Places of the demo truck [mm] as its scene gives them, the pinion turned 1.5 deg nose up."""
    output, bearing = np.array([1745.0, 0, 568]), np.array([2395.0, 0, 521])
    along = (bearing - output) / np.linalg.norm(bearing - output)
    axle, pinion, turn = (
        np.array([3990.0, 0, 395]),
        np.array([3643.6, 20, 378.1]),
        math.radians(1.5),
    )
    aft, right, up = pinion - axle
    # nose up about the axle: what lies ahead of it rises
    turned = [
        aft * math.cos(turn) + up * math.sin(turn),
        right,
        up * math.cos(turn) - aft * math.sin(turn),
    ]
    return {
        "output": output,
        "bearing": bearing,
        "behind": bearing + 115 * along,
        "pinion": axle + turned,
    }


def test_lengths_are_those_of_the_places(truck: Path) -> None:
    at = places()
    first = np.linalg.norm(at["bearing"] - at["output"])
    last = np.linalg.norm(at["pinion"] - at["behind"])
    page = texts(truck)[0].splitlines()
    rows = {
        "Joint center to joint center": [first + 115, last],
        "Joint center to bearing": [first],
        "Bearing to joint center": [115],
        "Cut the tube to": [first + 115 - 68 - 205, last - 68 - 68],
    }
    for name, lengths in rows.items():
        line = next(line for line in page if line.startswith(name))
        assert [int(n) for n in re.findall(r"\d+", line)] == [round(n) for n in lengths], line


def test_the_bracket_is_given_from_hook_datum_and_rails(truck: Path) -> None:
    """Crossmember from 2700, rails from 636 up and 430 out, foot 234 above the row at 492 [mm]."""
    said = words(truck)
    for line in (
        f"Foot, ahead of the front face of the frame crossmember {2700 - 2395} ",
        "Foot, aft of the datum 2395 ",
        f"Foot, above the rail's bottom edge {492 + 234 - 636} ",
        f"Bearing, below the rail's bottom edge {636 - 521} ",
        "Bearing, from the left rail's outer face 430 ",
        "Bearing, from the right rail's outer face 430 ",
    ):
        assert line in said, line


def test_hole_row_and_shims_give_the_height(truck: Path) -> None:
    """Rows every 12 mm from 492 up; shims of 1, 2 and 5 mm lower the bracket, here to 521."""
    assert 492 + 3 * 12 - 2 - 5 == 521
    assert "Bearing 1: hole row 4 from below, shims 2 mm and 5 mm." in words(truck)


def test_a_shaft_is_welded_as_its_scene_says_whatever_the_spline() -> None:
    """A tooth of 16 off at the stub turns the shaft by 22.5 deg; nobody shall weld that."""
    lines = ['spline.off_by = "1 tooth"', 'shaft.2.phase = "10 deg"']
    scene = load_scene(SCENES / f"{TRUCK}.toml", changes=lines, only="two-piece-wedged")
    m = check(scene, only="two-piece-wedged", as_read=True).results[0].measurements
    assert [math.degrees(order.phase) for order in shaft_orders(m)] == pytest.approx([0, 10])
    assert list(fitted(m, "metric"))[1:] == ["Spline as checked: 22.5 deg off its index marks."]


def test_the_stroke_that_the_travel_uses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A final drive on the frame does not move with the wheels, so the spline stays on its mark."""
    monkeypatch.setattr(windows, "rooms_of", lambda *_: ())
    scene = load_scene(SCENES / "courier_estate_car.toml", only="shimmed")
    results = check(scene, only="shimmed", as_read=True).results
    build = building_of(scene, results, load_rules(scene.rules))
    said = words(write_build_sheet(build, tmp_path, "a4"))
    assert "draw it back 15 mm and mark again: 45 mm stay engaged" in said
    assert "the travel takes it in by 0 mm, out by 0 mm." in said
    assert "The shafts are cut already, as for as-hung" in said


def test_a_height_between_the_shims_is_said() -> None:
    """Of 523 (row 4, a shim of 5) and 525 (shims of 1 and 2) the first is nearer to 523.8."""
    line = 'bearing.1.up = "523.8 mm"'
    scene = load_scene(SCENES / f"{TRUCK}.toml", changes=[line], only="two-piece-wedged")
    said = hole_words(scene.configuration("two-piece-wedged"), 1, "metric")
    assert said == (
        "Bearing 1: hole row 4 from below, shims 5 mm; that is 1 mm lower than designed."
    )


def test_the_hole_along_the_frame_is_said() -> None:
    """Holes every 65 mm from 2200: 2395 is the fourth."""
    lines = ['brace.1.hole_pitch = "65 mm"', 'bearing.1.up = "523 mm"']
    scene = load_scene(SCENES / f"{TRUCK}.toml", changes=lines, only="two-piece-wedged")
    said = hole_words(scene.configuration("two-piece-wedged"), 1, "metric")
    assert said == "Bearing 1: hole 4 from the front, hole row 4 from below, shims 5 mm."


def test_slopes_to_expect_are_those_of_the_places(truck: Path) -> None:
    at = places()
    joints = [at["output"], at["behind"], at["pinion"]]
    for number, (ahead, behind) in enumerate(pairwise(joints), start=1):
        aft, right, up = behind - ahead
        slope = math.degrees(math.atan2(-up, math.hypot(aft, right)))
        assert re.search(rf"^Shaft {number} {slope:.1f} ± ", texts(truck)[1], re.MULTILINE)
    assert re.search(r"^Output 3\.0 ± 0\.3 ", texts(truck)[1], re.MULTILINE)
    assert re.search(r"^Pinion 4\.5 ± 0\.3 ", texts(truck)[1], re.MULTILINE)
    assert "Wedge at the pinion: 1.5 deg nose up; its slope to the frame is then 4.5 deg" in words(
        truck
    )


def test_the_lift_stands_behind_the_wheels(truck: Path) -> None:
    """Hanging, the axle lies lower: shaft 2 slopes more, and the leaf springs turn the pinion."""
    page = texts(truck)[1].splitlines()
    titles = next(line for line in page if line.startswith("On its wheels"))
    assert titles == "On its wheels may be read On the lift may be read"
    for name in ("Shaft 2", "Pinion"):
        row = next(line for line in page if line.startswith(name))
        wheels, lift = (float(n) for n in re.findall(r"([\d.]+) ±", row))
        assert lift > wheels + 1


def test_printed_windows_allow_no_more_than_computed_ones(truck: Path) -> None:
    found = built(TRUCK, "two-piece-wedged").allowed
    lines = texts(truck)[1].splitlines()
    for reading in found.at("ride height"):
        name = "Gap [mm]" if reading.what == "gap" else reading.what.capitalize()
        line = next(line for line in lines if line.startswith(name))
        size = 1e-3 if reading.what == "gap" else math.radians(1)
        low, high = (float(n) * size for n in re.findall(r"([\d.]+) to ([\d.]+)", line)[0])
        step = size if reading.what == "gap" else size / 10
        assert reading.low - 1e-9 <= low < reading.low + step
        assert reading.high - step < high <= reading.high + 1e-9


def test_a_window_is_rounded_inward() -> None:
    assert tape_window(0.0101, 0.0199, "metric") == "11 to 19"
    assert tape_window(0.010, 0.020, "metric") == "10 to 20"
    assert tape_window(0.0101, 0.0109, "metric") == "no room"
    inch = 0.0254
    assert tape_window(1.01 * inch, 2.02 * inch, "inch") == "1-1/32 to 2"


@pytest.mark.parametrize(("way", "said"), [(1, "98 to 105"), (-1, "95 to 102")])
def test_a_length_that_shrinks_with_a_room_turns_its_window(way: int, said: str) -> None:
    room = Room(adjustment=HIGHER, low=-0.002, high=0.005, below="a", above="b")
    assert room_words(room, 0.100, way, "metric") == said


def test_an_end_that_no_rule_sets_bears_a_mark() -> None:
    room = Room(adjustment=HIGHER, low=-0.002, high=0.005, below="", above="b")
    assert room_words(room, 0.100, 1, "metric") == "98* to 105"
    assert room_words(room, 0.100, -1, "metric") == "95 to 102*"


def test_nothing_may_be_off_where_there_is_no_room() -> None:
    room = Room(adjustment=HIGHER, low=0.0, high=0.0, below="a", above="a")
    assert room_words(room, 0.100, 1, "metric") == "no room"


def test_torques_carry_the_name_of_their_table() -> None:
    """SAE J1701M as printed in a machine's manual: M12 68 N m in class 8.8, 94 in 10.9."""
    torque, table = torque_words("M12", METRIC)
    assert torque == "class 8.8: 68 N m\nclass 10.9: 94 N m"
    assert table.startswith("SAE J1701M")
    assert torque_words("1/2-20", METRIC)[0] == "grade 5: 115 N m\ngrade 8: 163 N m"
    assert torque_words("1/2-20", TRADE_INCH)[0] == "grade 5: 85 lbf ft\ngrade 8: 120 lbf ft"
    assert (
        torque_words(None, METRIC) == torque_words("M99", METRIC) == ("________", "its own sheet")
    )


def test_a_cure_is_carried_and_said(tmp_path: Path) -> None:
    """Van: rails from 12 in up, foot 1/4 in above the bearing, which the cure hangs at 14-1/32."""
    build = built(VAN, "two-piece", cures=True)
    assert build.carries == ('bearing.1.up = "14-1/32 ± 1/16 in"',)
    sheet = write_build_sheet(build, tmp_path, "letter")
    check_sheet(sheet, "letter", 2)
    said = words(sheet)
    assert "Only if you hang bearing 1 at 14-1/32 in, 1/32 in higher" in said
    assert build.carries[0] in said
    assert "Bearing, above the rail's bottom edge 2-1/32 " in said
    assert "Foot, above the rail's bottom edge 2-9/32 " in said
    page = write_hand_over(build, tmp_path, "letter")
    check_sheet(page, "letter", 1)
    assert "up from the datum" in words(page)
    assert "14-1/32 in up" in words(page)


def test_a_line_that_was_tried_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(windows, "rooms_of", lambda *_: ())
    line, name = 'bearing.1.up = "519 mm"', "two-piece-wedged"
    scene = load_scene(SCENES / f"{TRUCK}.toml", changes=[line], only=name)
    results = check(scene, only=name, as_read=True).results
    said = words(
        write_build_sheet(building_of(scene, results, load_rules(scene.rules)), tmp_path, "a4")
    )
    assert "Not as the scene file says" in said
    assert f"the scene file does not yet. Write {line}" in said
    assert f"Bearing, below the rail's bottom edge {636 - 519} " in said


def test_what_is_not_sound_gets_no_sheet_but_a_marked_one(tmp_path: Path) -> None:
    with pytest.raises(
        SimError, match=r"not sound.*turns unevenly.*sheet --only .single-joints. --even-failing"
    ):
        built("trail_ambulance", "single-joints")
    build = built("trail_ambulance", "single-joints", even_failing=True)
    said = words(write_build_sheet(build, tmp_path, "letter"))
    assert "NOT FOR BUILDING" in said
    assert said.count("no room") == 8


def test_the_same_bytes_twice(truck: Path, tmp_path: Path) -> None:
    build = built(TRUCK, "two-piece-wedged")
    assert write_build_sheet(build, tmp_path, "a4").read_bytes() == truck.read_bytes()
    pages = [write_hand_over(build, tmp_path / n, "a4").read_bytes() for n in "ab"]
    assert pages[0] == pages[1]


def test_the_hand_over_page_says_what_was_checked_and_within_what_it_holds(tmp_path: Path) -> None:
    build = built(TRUCK, "two-piece-wedged")
    said = words(write_hand_over(build, tmp_path, "a4"))
    findings = build.result.findings.findings
    passed = [finding for finding in findings if finding.verdict == "passes"]
    assert f"{len(passed)} of {len(findings)} passed, none fails" in said
    for rule in {finding.rule for finding in passed}:
        count = sum(finding.rule == rule for finding in passed)
        assert f"{rule} ({count})" in said if count > 1 else rule in said
    for limit in (
        "395 mm",
        "4.10 to 1",
        "110 mm droop",
        "95 mm bump",
        "1830 kg",
        "155 km/h",
        "610 N m",
    ):
        assert limit in said, limit
    for word in (
        "Ask again before any of this is changed",
        "After the first loaded drive",
        "certifies nothing",
    ):
        assert word in said


def test_the_gap_of_shafts_that_are_cut_is_what_they_leave(tmp_path: Path) -> None:
    """Cut for a last joint 2905 mm aft with a gap of 15 mm; it stands 3 mm farther forward."""
    name, only = "courier_estate_car", "shimmed"
    path = SCENES / f"{name}.toml"
    scene = load_scene(path, only=only, changes=('pinion.aft = "2902 ± 2 mm"',))
    results = check(scene, only=only, as_read=True, cures=False).results
    build = building_of(scene, results, load_rules(scene.rules), even_failing=True)
    said = words(write_hand_over(build, tmp_path, "a4"))
    assert "spline gap 12 mm at ride height" in said


@pytest.mark.parametrize("name", SHIPPED)
def test_every_shipped_layout_fits_both_papers(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def quick(design: object, rules: object, numbers: object) -> tuple[Room, ...]:
        return tuple(
            Room(adjustment=one, low=-0.001, high=0.001, below="x", above="x")
            for one in adjustments_of(design)  # type: ignore[arg-type]
        )

    monkeypatch.setattr(windows, "rooms_of", quick)
    scene = load_scene(SCENES / f"{name}.toml")
    rules = load_rules(scene.rules)
    for number, result in enumerate(check(scene, as_read=True).results):
        build = building_of(scene, [result], rules, even_failing=True)
        for paper in ("letter", "a4")[: 1 if number else 2]:
            sheet = write_build_sheet(build, tmp_path, paper)  # type: ignore[arg-type]
            check_sheet(sheet, paper)
            pages = texts(sheet)
            assert len(pages) <= 2
            if build.result.configuration.bearings:
                assert "Datum: " in pages[0]
                assert "Read after the work" in pages[1][:300]
            if build.sound and paper == "letter":  # the shorter page
                check_sheet(write_hand_over(build, tmp_path, paper), paper, 1)  # type: ignore[arg-type]


RAILS = """
[left_rail]
apart = "430 mm"
up = "700 mm"
height = "220 mm"
flange = "70 mm"
thickness = "6 mm"
"""
BRACE = """
[brace.{n}]
from = {{ aft = "{a} mm", left = "20 mm", up = "480 mm" }}
to = {{ aft = "{b} mm", right = "20 mm", up = "650 mm" }}
row_pitch = "15 mm"

[brace.{n}.foot]
holes = "2 by 2"
along = "60 mm"
upright = "60 mm"
hole = "13 mm"
bolt = "M12"
up = "310 mm"
"""


def test_three_shafts_with_all_that_can_be_told_fit_two_pages(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(windows, "rooms_of", lambda *_: ())
    text = (SCENES / "long_three_piece_chassis.toml").read_text(encoding="utf-8")
    braces = BRACE.format(n=1, a=2400, b=2900) + BRACE.format(n=2, a=3700, b=4200)
    at = text.index("[configuration.")
    scene = read_scene((text[:at] + RAILS + braces + "\n" + text[at:]).encode("utf-8"))
    results = check(scene, only="three-piece", as_read=True).results
    build = building_of(scene, results, load_rules(scene.rules))
    sheet = write_build_sheet(build, tmp_path, "letter")
    check_sheet(sheet, "letter", 2)
    assert "Bearing 2, from the left rail's outer face 430" in words(sheet)
    assert "Brace (each) to rails 4 a side, M12 class 8.8: 68 N m" in words(sheet)


def test_the_command_writes_both_and_tells_machines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = str(SCENES / "trail_ambulance.toml")
    arguments = ["sheet", scene, "--only", "double-cardan-and-bar", "--out", str(tmp_path)]
    assert main([*arguments, "--paper", "a4", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    folder = tmp_path / "trail_ambulance" / "double-cardan-and-bar"
    assert said["files"] == [f"{folder.as_posix()}/{n}.pdf" for n in ("build_sheet", "hand_over")]
    check_sheet(folder / "build_sheet.pdf", "a4")
    output = next(one for one in said["readings"] if one["what"] == "output")
    assert output["expected"]["unit"] == "deg"
    assert (
        output["may_be"]["low"]["si"] <= output["expected"]["si"] <= output["may_be"]["high"]["si"]
    )


def test_holes_that_break_the_drilling_guide_are_not_to_be_drilled(
    truck: Path, tmp_path: Path
) -> None:
    # 30 mm lower: lower holes 492 + 204 - 30 - 636 = 30 mm above the edge; less 4 of wall and 6.5
    # of hole 19.5 of 38 mm (Ford body builders layout book 2022, second-hand), so 19 whole ones up
    assert "DO NOT DRILL" not in words(truck)
    build = built(TRUCK, "two-piece-wedged")
    was = build.result.configuration
    foot = replace(was.braces[1].foot, up=0.204)
    lower = replace(was, braces={1: replace(was.braces[1], foot=foot)})
    low = replace(build, result=replace(build.result, configuration=lower))
    said = words(write_build_sheet(low, tmp_path, "letter"))
    assert "DO NOT DRILL: the foot's holes break the guide “light truck”" in said
    assert "the foot 19 mm up on both rails" in said
    assert "The chassis maker's own book comes first." in said
