"""What each millimeter does: against the scene's text written anew, solved and judged again.

Ride height, load and wrap are held against states of changed scenes; bearings, wedge and shim
against angles between lines through points, worked out here.
"""

from __future__ import annotations

import csv
import io
import json
import re
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scene_lines import with_lines

from sim import run
from sim.cli import main
from sim.display import METRIC
from sim.explore.effects import Effect, Effects, effects_of
from sim.explore.effects_heights import MOVED, carried, moved
from sim.explore.effects_steps import MOUNTS_APART
from sim.explore.evaluate import evaluate
from sim.explore.judged import Judged, judged
from sim.judge.rules import load_rules
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.solve import solve
from sim.scene.parts import Configuration
from sim.scene.reader import load_scene, read_scene
from sim.show.effect_words import far_words, off_words, until_words
from sim.show.report.chapters import chapter_of

SCENES = Path(__file__).parents[1] / "scenes"
TRUCK = (SCENES / "orchard_service_truck.toml").read_text("utf-8")
VAN = (SCENES / "lowered_street_van.toml").read_text("utf-8")
CAR = (SCENES / "courier_estate_car.toml").read_text("utf-8")
Vector = NDArray[np.float64]
GRAVITY = 9.80665  # [m/s²], NIST SP 811, appendix B


@cache
def asked(text: str, name: str) -> Judged:
    scene = read_scene(text.encode(), "scene.toml")
    return judged(scene.configuration(name), load_rules(scene.rules), as_read=True)


@cache
def effects(text: str, name: str) -> Effects:
    found = asked(text, name)
    return effects_of(found.measurements, found.rules)


def effect(text: str, name: str, step: str) -> Effect:
    return next(one for one in effects(text, name).effects if one.step.name == step)


def change(text: str, name: str, step: str, number: str) -> float:
    """Return by how much one step changes a number."""
    names = [one.name for one in effects(text, name).numbers]
    return float(effect(text, name, step).change[names.index(number)])


def changed(text: str, name: str, *lines: str) -> Measurements:
    """Return what is measured of a scene with lines written into a configuration."""
    scene = read_scene(with_lines(text, name, lines).encode(), "scene.toml")
    return measure(solve(scene.configuration(name)))


def hung_otherwise(text: str, name: str, *lines: str) -> Judged:
    """Return what comes of a configuration hung otherwise on the shafts that are cut."""
    more = [f'same_shafts_as = "{name}"', *lines]
    return asked(f"{text}\n[configuration.otherwise]\n" + "\n".join(more) + "\n", "otherwise")


# --- bearings, wedge and shim: angles between lines, as on paper ----------------------------------


def turned(vector: Vector, angle: float) -> Vector:
    """Return a vector turned front end up [rad], side view: aft toward down."""
    aft, right, up = vector
    c, s = np.cos(angle), np.sin(angle)
    return np.array([c * aft + s * up, right, c * up - s * aft])


def last_length(c: Configuration) -> float:
    """Return the length of the last shaft [m] by the scene: joint 2 to the pinion joint."""
    output, bearing = c.output.point, c.bearings[0]
    first = (bearing.point - output) / np.linalg.norm(bearing.point - output)
    return float(np.linalg.norm(c.pinion.point - bearing.point - bearing.to_joint * first))


def paper_angles(c: Configuration, step: str, far: float) -> Vector:
    """Return the joint angles [deg] with one bearing moved, a wedge, or a shim at the mount.

    The first shaft is a straight rod through the bearing's center; the last one has a fixed length
    and slides on it.  The pinion turns about the axle center, its joint and its axis.
    """
    output, pinion, bearing = c.output.point, c.pinion.point, c.bearings[0].point
    slopes = [c.output.slope, c.pinion.slope]
    way = {"bearing 1 aft": (1, 0, 0), "bearing 1 aside": (0, 1, 0), "bearing 1 up": (0, 0, 1)}
    bearing = bearing + far * np.array(way.get(step, (0, 0, 0)))
    if step == "wedge":
        pinion = c.axle + turned(pinion - c.axle, far)
        slopes[1] += far
    if step == "mount shim":
        output = output + np.array([0, 0, far])
        slopes[0] -= far / MOUNTS_APART
    ends = [np.array([np.cos(s), 0.0, -np.sin(s)]) for s in slopes]
    first = (bearing - output) / np.linalg.norm(bearing - output)
    to_pinion = pinion - output  # joint 2 slides along the first shaft until the last one reaches
    along = to_pinion @ first
    joint = output + first * (
        along - np.sqrt(along**2 - to_pinion @ to_pinion + last_length(c) ** 2)
    )
    last = pinion - joint
    axes = [ends[0], first, last / np.linalg.norm(last), ends[1]]
    cosines = [a @ b for a, b in pairwise(axes)]
    return np.degrees(np.arccos(cosines))


@pytest.mark.parametrize("text", [TRUCK, VAN], ids=["truck", "van"])
@pytest.mark.parametrize(
    "step", ["bearing 1 up", "bearing 1 aside", "bearing 1 aft", "wedge", "mount shim"]
)
def test_one_step_moves_the_joint_angles_as_on_paper(text: str, step: str) -> None:
    c = asked(text, "two-piece").configuration
    assert c.output.plan == c.pinion.plan == 0
    size = effect(text, "two-piece", step).step.size
    paper = (paper_angles(c, step, size) - paper_angles(c, step, -size)) / 2
    found = [change(text, "two-piece", step, f"joint {j} at ride height") for j in (1, 2, 3)]
    assert found == pytest.approx(paper, abs=2e-5)


def test_a_millimeter_at_the_bearing_bends_by_one_over_the_lengths() -> None:
    """Small angles in the side view: 1/a at joint 1; 1/a + (a + e)/(a L2) at joint 2.

    a is from output to bearing, e from bearing to joint 2; the last shaft then turns by
    (a + e)/(a L2) the other way.  The truck with its pinion in the middle bends in side view only.
    """
    text = TRUCK.replace('right = "20 ± 2 mm"', 'right = "0 mm"')
    a = np.hypot(2395 - 1745, 568 - 531)
    e = 115.0
    x, z = 1745 + (a + e) / a * 650, 568 - (a + e) / a * 37
    last = np.hypot(3643.6 - x, z - 378.1)
    other = (a + e) / a / last
    found = [change(text, "two-piece", "bearing 1 up", f"joint {j} at ride height") for j in (2, 3)]
    assert found == pytest.approx(np.degrees([1 / a + other, other]), rel=5e-3)
    joint_1 = change(text, "two-piece", "bearing 1 up", "joint 1 at ride height")
    assert joint_1 == pytest.approx(-np.degrees(1 / a), rel=5e-3)  # it hangs low: 0.26 deg


# --- ride height, load, wrap: states of scenes written anew ---------------------------------------


def at(m: Measurements, height: str, case: str = "no torque") -> int:
    return next(k for k, s in enumerate(m.states) if (s.height, s.case) == (height, case))


def test_ride_height_is_the_same_axle_at_another_height_under_the_same_load() -> None:
    """A height 10 mm up and one 10 mm down, each written with the load at ride height."""
    text = TRUCK + (
        '\n[height.sunk]\nbump = "10 mm"\naxle_load = "1448 kg"\n'
        '[height.raised]\ndroop = "10 mm"\naxle_load = "1448 kg"\n'
    )
    m = asked(text, "two-piece").measurements
    raised, sunk = at(m, "raised"), at(m, "sunk")
    angles = np.degrees(m.joint_angle[raised] - m.joint_angle[sunk]) / 2
    found = [
        change(TRUCK, "two-piece", "ride height", f"joint {j} at ride height") for j in (1, 2, 3)
    ]
    assert found == pytest.approx(angles, abs=1e-6)
    gap = 1e3 * (m.gap[raised] - m.gap[sunk]) / 2
    assert change(TRUCK, "two-piece", "ride height", "gap at ride height") == pytest.approx(gap)
    uneven = 50 * (m.fluctuation[raised, -1] - m.fluctuation[sunk, -1])
    assert change(TRUCK, "two-piece", "ride height", "fluctuation at ride height") == pytest.approx(
        uneven
    )


def test_springs_that_sag_carry_the_same_load_and_wrap_under_the_same_torque() -> None:
    """Under every torque: the height that stands for ride height against one of the scene's own."""
    text = TRUCK + '\n[height.sunk]\nbump = "10 mm"\naxle_load = "1448 kg"\n'
    m = asked(text, "two-piece").measurements
    c = asked(TRUCK, "two-piece").configuration
    states = [s for s in asked(TRUCK, "two-piece").measurements.states if s.height == "ride height"]
    (path,) = (p for p in effect(TRUCK, "two-piece", "ride height").step.per if MOVED in p)
    n = evaluate(carried(c), {path: 0.010}, moved(c, states))
    assert len(states) >= 5
    for k, state in enumerate(states):
        there = at(m, "sunk", state.case)
        assert n.wrap[0, k] == pytest.approx(m.wrap[there], abs=1e-9)
        assert n.gap[0, k] == pytest.approx(m.gap[there], abs=1e-7)
        assert n.wheel_torque[0, k] == pytest.approx(m.states[there].wheel_torque)


def test_more_load_sinks_leaf_springs_and_lets_the_tires_hold_more() -> None:
    """100 kg on two springs of 48 N/mm: 10.2 mm; the loaded height goes along, both heavier."""
    sinks = 100 * GRAVITY / (2 * 48)
    text = TRUCK.replace('bump = "40 ± 5 mm"', f'bump = "{40 + sinks:.6f} mm"')
    text = text.replace('axle_load = "1830 ± 30 kg"', 'axle_load = "1930 kg"')
    text += f'\n[height.sunk]\nbump = "{sinks:.6f} mm"\naxle_load = "1548 kg"\n'
    now, before = (asked(one, "two-piece").measurements for one in (text, TRUCK))
    ride, sunk = at(before, "ride height"), at(now, "sunk")
    angles = np.degrees(now.joint_angle[sunk] - before.joint_angle[ride])
    found = [change(TRUCK, "two-piece", "load", f"joint {j} at ride height") for j in (1, 2, 3)]
    assert found == pytest.approx(angles, abs=1e-5)
    heights = ("full droop", "full bump", "loaded")
    least = [min(m.gap[at(m, h, "hard launch")] for h in heights) for m in (before, now)]
    assert change(TRUCK, "two-piece", "load", "gap, least") == pytest.approx(
        1e3 * (least[1] - least[0]), abs=1e-3
    )


def test_load_on_an_axle_of_unknown_rate_only_adds_torque() -> None:
    found = [change(VAN, "two-piece", "load", f"joint {j} at ride height") for j in (1, 2, 3)]
    assert found == pytest.approx([0, 0, 0], abs=1e-9)
    heavier = VAN.replace('axle_load = "2550 ± 60 lb"', 'axle_load = "2750 lb"')
    most = [
        np.degrees(max(asked(t, "two-piece").measurements.joint_angle[:, 2]))
        for t in (VAN, heavier)
    ]
    assert change(VAN, "two-piece", "load", "joint 3, most") == pytest.approx(
        most[1] - most[0], abs=1e-4
    )


def test_stiffer_bushings_wrap_less() -> None:
    """1850 lbf ft/deg, a tenth more and a tenth less."""
    one = [
        asked(
            VAN.replace('"1850 lbf ft/deg ± 40 %"', f'"{1850 * share:g} lbf ft/deg"'), "two-piece"
        )
        for share in (1.1, 0.9)
    ]
    most = [np.degrees(np.max(found.measurements.joint_angle[:, 2])) for found in one]
    assert change(VAN, "two-piece", "wrap", "joint 3, most") == pytest.approx(
        (most[0] - most[1]) / 2, abs=1e-4
    )


def test_stiffer_leaf_springs_wrap_a_tenth_less() -> None:
    """Wrap is torque over stiffness: a bar of a tenth of it leaves 1/1.1 on linear springs."""
    step = effect(TRUCK, "two-piece", "wrap").step
    (bar,) = (per * step.size for per in step.per.values())
    line = f'suspension.wrap_control = "{np.radians(bar):.6f} N m/deg"'
    before, now = asked(TRUCK, "two-piece").measurements, changed(TRUCK, "two-piece", line)
    k = int(np.argmax([state.wheel_torque for state in before.states]))
    assert now.wrap[k] / before.wrap[k] == pytest.approx(1 / 1.1, rel=5e-3)
    assert change(TRUCK, "two-piece", "wrap", "gap, least") > 0


# --- limits: carried out --------------------------------------------------------------------------

FLIPS = [
    (TRUCK, "two-piece", "bearing 1 up", 'bearing.1.up = "{:.6f} mm"', 531.0, 1e3),
    (TRUCK, "two-piece", "bearing 1 aside", 'bearing.1.{} = "{:.6f} mm"', 0.0, 1e3),
    (TRUCK, "two-piece-wedged", "wedge", 'pinion.nose_up = "{:.6f} deg"', 1.5, np.degrees(1)),
    (VAN, "two-piece", "bearing 1 up", 'bearing.1.up = "{:.6f} mm"', 14 * 25.4, 1e3),
    (CAR, "as-hung", "final drive", 'pinion.nose_{} = "{:.6f} deg"', 0.0, np.degrees(1)),
]


def line_of(line: str, value: float, step: str) -> str:
    """Return a line with a value; a word of its own for less than nothing."""
    if line.count("{") == 1:
        return line.format(value)
    words = ("right", "left") if "aside" in step else ("up", "down")
    return line.format(words[int(value < 0)], abs(value))


@pytest.mark.parametrize(("text", "name", "step", "line", "value", "scale"), FLIPS)
@pytest.mark.parametrize("way", [0, 1], ids=["less", "more"])
def test_a_limit_gives_way_where_it_is_said_to(
    text: str, name: str, step: str, line: str, value: float, scale: float, way: int
) -> None:
    """Written into the scene a little short of that place, and a little beyond it."""
    flip = effect(text, name, step).breaks[way]
    assert flip is not None
    assert np.sign(flip.at) == (-1, 1)[way]
    assert flip.limit is not None
    broken = {
        (f.rule, f.where) for f in asked(text, name).findings.findings if f.verdict == "fails"
    }
    fails = []
    little = 0.02 * effect(text, name, step).step.size
    for far in (
        flip.at - np.sign(flip.at) * min(little, abs(flip.at) / 2),
        flip.at + np.sign(flip.at) * little,
    ):
        found = hung_otherwise(text, name, line_of(line, value + scale * far, step)).findings
        fails.append({(f.rule, f.where) for f in found.findings if f.verdict == "fails"} - broken)
    assert not fails[0]
    assert (flip.limit.rule, flip.limit.where) in fails[1]


def test_a_limit_broken_only_between_two_looks_is_found() -> None:
    """Joint 3 of the car is too straight from 0.3 to 0.7 deg nose down, between 0.2 and 0.8."""
    flip = effect(CAR, "as-hung", "final drive").breaks[0]
    assert flip is not None
    assert flip.limit is not None
    assert (flip.limit.rule, flip.limit.where) == ("joint, least", "joint 3")


def test_what_is_broken_is_kept_again_where_it_is_said_to_be() -> None:
    """The truck's front joint is too straight; shim at the transmission mount bends it."""
    mended = effect(TRUCK, "two-piece", "mount shim").mends
    assert [(m.limit.rule, m.limit.where) for m in mended if m.limit] == [
        ("front joint, least", "joint 1")
    ]
    verdicts = []
    for far in (mended[0].at - 2e-5, mended[0].at + 2e-5):
        slope = 3.0 - np.degrees(far / MOUNTS_APART)
        lines = f'output.up = "{568 + 1e3 * far:.6f} mm"', f'output.slope = "{slope:.8f} deg"'
        found = hung_otherwise(TRUCK, "two-piece", *lines).findings.findings
        verdicts += [f.verdict for f in found if f.rule == "front joint, least"]
    assert verdicts == ["fails", "passes"]


def test_room_changes_as_findings_do() -> None:
    """A degree of wedge more and less, judged: the same angles come nearer to the same limits."""
    found = effect(TRUCK, "two-piece-wedged", "wedge")
    limits = effects(TRUCK, "two-piece-wedged").limits
    more, less = (
        {
            (f.rule, f.where): f
            for f in hung_otherwise(
                TRUCK, "two-piece-wedged", f'pinion.nose_up = "{turn} deg"'
            ).findings.findings
        }
        for turn in (2.5, 0.5)
    )
    checked = 0
    for limit, change_of in zip(limits, found.room, strict=True):
        if limit.unit != "deg" or limit.rule.endswith("least"):  # of which not every state decides
            continue
        one, other = (side[limit.rule, limit.where] for side in (more, less))
        if {one.verdict, other.verdict, limit.verdict} != {"passes"}:
            continue
        sign = -1 if one.relation == "at most" else 1
        moved = sign * (one.value - other.value) / 2
        assert change_of == pytest.approx(moved, abs=0.02), limit
        checked += abs(moved) > 0.1
    assert checked >= 3


# --- what there is, and how it is said ------------------------------------------------------------


def test_what_breaks_a_limit_soonest_stands_first() -> None:
    nearest = [one.nearest for one in effects(TRUCK, "two-piece").effects]
    assert nearest == sorted(nearest)
    assert len(nearest) == 8


def test_what_does_not_follow_the_wheels_has_no_ride_height() -> None:
    names = [one.step.name for one in effects(CAR, "as-hung").effects]
    assert "ride height" not in names
    assert "final drive" in names
    assert effects(CAR, "as-hung").notes == ("No ride height: the final drive hangs on the frame.",)


def test_every_bearing_has_three_ways() -> None:
    text = (SCENES / "long_three_piece_chassis.toml").read_text("utf-8")
    names = {one.step.name for one in effects(text, "three-piece").effects}
    assert names >= {f"bearing {n} {way}" for n in (1, 2) for way in ("up", "aside", "aft")}


def test_distances_are_rounded_down_to_what_can_be_set() -> None:
    up = effect(TRUCK, "two-piece", "bearing 1 up").step
    assert [far_words(up, far) for far in (0.00005, 0.00279, -0.0149)] == [
        "<0.1 mm", "2.7 mm", "14 mm",
    ]  # fmt: skip
    assert far_words(up, 0.00271, up=True) == "2.8 mm"
    inch = effect(VAN, "two-piece", "bearing 1 up").step
    assert [far_words(inch, far * 25.4e-3) for far in (0.02, 3 / 32, 0.99)] == [
        "<1/32 in", "3/32 in", "31/32 in",
    ]  # fmt: skip


def test_the_reading_is_marked_where_it_may_be_off_by_more(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """± 3 mm against 0.2 mm: the truck's bearing height; its aft place, ± 3 against 3.7 mm."""
    path = str(SCENES / "orchard_service_truck.toml")
    assert main(["effects", path, "--only", "two-piece", "--out", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    (up,) = re.findall(r"^  bearing 1 up .*", said, re.MULTILINE)
    (aft,) = re.findall(r"^  bearing 1 aft .*", said, re.MULTILINE)
    assert up.endswith("± 3 mm !")
    assert aft.endswith("± 3 mm")
    assert until_words(effect(TRUCK, "two-piece", "bearing 1 up"), 0) in up
    assert max(len(line) for line in said.splitlines() if str(tmp_path) not in line) <= 110
    assert "kept again, others aside, with mount shim 1.6 mm thicker" in " ".join(said.split())
    assert "nothing is certified" in said


@pytest.mark.parametrize("name", ["lowered_street_van"])
def test_machines_file_and_terminal_read_the_same(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = str(SCENES / f"{name}.toml")
    assert main(["effects", path, "--json", "--out", str(tmp_path)]) == 0
    said = json.loads(capsys.readouterr().out)
    for configuration in said["configurations"]:
        file = tmp_path / name / configuration["name"] / "effects.csv"
        rows = list(csv.reader(io.StringIO(file.read_text("utf-8"))))
        assert len(rows[0]) == 7 + len(configuration["steps"])
        for row, number in zip(rows[1:], configuration["numbers"], strict=False):
            assert row[0] == number["name"]
            assert row[2] == number["as_it_stands"]["unit"]
            assert float(row[3]) == pytest.approx(
                number["as_it_stands"]["value"], rel=1e-4, abs=1e-4
            )
        first = configuration["steps"][0]
        assert [float(row[7]) for row in rows[1:8]] == pytest.approx(
            [one["value"] for one in first["changes"][:7]], rel=1e-4, abs=1e-4
        )
    written = {Path(file).name for file in said["files"]}
    assert written == {"effects.csv", "effects.svg", "effects.png"}


def test_the_same_bytes_twice_and_a_report_that_holds_them(tmp_path: Path) -> None:
    path = SCENES / "courier_estate_car.toml"
    once, twice = tmp_path / "once", tmp_path / "twice"
    assert main(["effects", str(path), "--only", "shimmed", "--json", "--out", str(once)]) == 0
    (result,) = run.effects(load_scene(path), twice, only="shimmed").results
    files = sorted(file.relative_to(once) for file in once.rglob("effects.*"))
    assert len(files) == 3
    assert all((once / file).read_bytes() == (twice / file).read_bytes() for file in files)
    chapter = chapter_of(result, METRIC)
    told = [table for table in chapter.tables if table.title.startswith("How far each may be off")]
    assert [len(table.rows) for table in told] == [7]
    assert any(picture.caption.startswith("What each millimeter") for picture in chapter.pictures)


BARE = """format = "halfturn scene 1"
title = "Bare truck"
datum = "front wheel center"
display = "metric"
rules = "two-piece service"
vehicle = { axle_ratio = "4.10 to 1", tire_radius = "395 mm", top_speed = "120 km/h" }
output = { aft = "1745 mm", up = "568 mm", slope = "3.0 deg" }
pinion = { aft = "3643 mm", up = "378 mm", slope = "3.0 deg" }
axle = { aft = "3990 mm", up = "395 mm" }
[configuration.two]
shaft.1.tube = { outside = "88.9 mm", wall = "2.1 mm" }
shaft.2.tube = { outside = "88.9 mm", wall = "2.1 mm" }
bearing.1 = { aft = "2395 mm", up = "531 mm", to_joint = "115 mm" }
spline = { at = "midship", gap = "45 mm", engaged = "85 mm", teeth = "16 teeth" }
"""


def test_a_scene_without_suspension_or_load_says_what_it_leaves_out() -> None:
    found = effects(BARE, "two")
    assert [one.step.name for one in found.effects] == [
        "wedge", "mount shim", "bearing 1 up", "bearing 1 aside", "bearing 1 aft",
    ]  # fmt: skip
    assert found.notes == (
        "No ride height: neither suspension nor travel are written.",
        "No load: vehicle.axle_load is not written.",
    )
    assert off_words(found.effects[0]) == "–"
