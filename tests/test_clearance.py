"""What clearance leads to: runs, exemptions, verdicts, the table and the pictures."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import imageio.v3 as iio
import numpy as np
import pytest
import samples

from sim.display import METRIC, TRADE_INCH
from sim.judge.findings import Finding
from sim.judge.judge import judge
from sim.measure.clearance.course import course_of
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration, Obstacle, Reading
from sim.show.place_words import place_of
from sim.show.plots.clearance import draw_clearance
from sim.show.plots.envelope import draw_envelope
from sim.show.plots.outline import SIDE, TOP, section, swept
from sim.show.plots.places import closest_spots
from sim.show.report.passes_close import clearance_tables


def box(name: str, start: tuple[float, ...], end: tuple[float, ...], **more: object) -> Obstacle:
    """Return an obstacle from millimeters."""
    known: dict[str, object] = {
        "name": name,
        "start": samples.place(*start),
        "end": samples.place(*end),
        "pipe": None,
        "moves": 0.0,
        "rides_on": "frame",
        "kind": "fixed part",
        "least_clearance": None,
    }
    return Obstacle(**(known | more))


BEAM = box("beam", (2700, -430, 600), (2760, 430, 650))
PIPE = box("tail pipe", (1900, 165, 470), (3200, 165, 470), pipe=0.07, moves=0.01, kind="exhaust")
SKID = box("skid", (2450, -300, 330), (2600, -70, 420), kind="line")


def measured(
    *obstacles: Obstacle, configuration: Configuration | None = None, **limits: object
) -> Measurements:
    """Return measurements of a truck among obstacles, at few heights."""
    made = configuration or samples.two_piece()
    made = replace(made, obstacles=obstacles, limits=replace(made.limits, **limits))
    return measure(solve(made, states=sweep_states(made, heights=5)))


def found(m: Measurements, obstacle: str, rule: str) -> list[Finding]:
    """Return the findings of a rule on an obstacle."""
    return [f for f in judge(m).findings if f.rule == rule and f.where.endswith(f"to {obstacle}")]


def moved(obstacle: Obstacle, up: float) -> Obstacle:
    """Return an obstacle so many millimeters higher."""
    lift = samples.place(0, 0, up)
    return replace(obstacle, start=obstacle.start + lift, end=obstacle.end + lift)


def test_every_torque_case_runs_through_all_its_travel_and_into_every_roll() -> None:
    configuration = samples.two_piece()
    course = course_of(sweep_states(configuration))
    assert (course.travel[0], course.roll[0]) == (0.0, 0.0)
    for number in range(len(course.cases)):
        mine = course.case == number
        assert course.travel[mine].min() == -configuration.travel.droop
        assert course.travel[mine].max() == configuration.travel.bump
        assert course.roll[mine].max() == -course.roll[mine].min() == configuration.travel.roll
    same = course.case[course.before] == course.case[course.after]
    assert same.all()
    joined = np.abs(course.travel[course.after] - course.travel[course.before])
    assert joined.max() < 0.0065


def test_a_configuration_without_travel_is_looked_at_where_it_stands() -> None:
    still = replace(samples.two_piece(), suspension=None, travel=None)
    m = measured(BEAM, configuration=still)
    assert {c.travel for c in m.numbers.near} == {0.0}
    assert all(
        c.distance == pytest.approx(c.at_rest) for c in m.numbers.near if c.case == "no torque"
    )
    assert draw_clearance(m, judge(m), METRIC, "", Path()) == ()


def test_what_is_bolted_together_is_exempt() -> None:
    cover = box("cover", (3950, -100, 300), (4100, 100, 500), rides_on="axle")
    near = {(c.obstacle, c.part) for c in measured(BEAM, PIPE, cover).numbers.near}
    assert ("cover", "joint 3") in near
    assert not {("cover", p) for p in ("axle housing", "pinion nose", "left leaf pack")} & near
    assert ("beam", "axle housing") in near
    assert ("tail pipe", "bearing 1") in near  # bolted to the frame; the exhaust hangs and moves
    assert ("beam", "bearing 1") not in near


def test_a_joint_is_of_assumed_size_until_its_swing_radius_is_measured() -> None:
    tight = moved(box("floor", (1700, -200, 622), (1800, 200, 640)), 0)
    path = "joint.1.swing_radius"
    reading = Reading(path=path, value=0.06, spread=0, text="60 mm", status="measured", line=9)
    guessed = measured(tight)
    told = measured(tight, configuration=samples.two_piece(readings={path: reading}))
    assert [f.verdict for f in found(guessed, "floor", "contact, size assumed")] == ["watch"]
    assert [f.verdict for f in found(told, "floor", "contact")] == ["fails"]
    assert found(told, "floor", "contact")[0].where == "joint 1 to floor"


@pytest.mark.parametrize(
    ("least", "shop", "limit", "verdict"),
    [(None, None, 10, "watch"), (0.05, None, 50, "fails"), (None, 0.05, 50, "fails")],
    ids=["common practice", "of the obstacle", "of the shop"],
)
def test_only_a_limit_that_the_shop_wrote_can_fail(
    least: float | None, shop: float | None, limit: float, verdict: str
) -> None:
    high = moved(BEAM, -28 if limit == 10 else 0)  # 9.9 mm is left on a hard launch, loaded
    limits = {} if shop is None else {"clearance": shop, "set_by_shop": frozenset({"clearance"})}
    m = measured(replace(high, least_clearance=least), **limits)
    (finding,) = found(m, "beam", "clearance")
    assert (finding.limit, finding.verdict) == (pytest.approx(limit), verdict)
    # At full bump under torque it comes nearer still, but there only contact counts.
    assert finding.state.label == ("loaded, cruise" if least or shop else "loaded, hard launch")
    assert finding.standing == ("shop" if verdict == "fails" else "common practice")


def test_what_touches_stands_over_what_passes_too_close() -> None:
    m = measured(moved(BEAM, -60))
    assert [(f.verdict, f.under) for f in found(m, "beam", "contact")] == [("fails", "")]
    assert {f.under for f in found(m, "beam", "clearance")} == {"contact"}


def test_a_shop_limit_holds_for_an_exhaust_only_where_it_is_stricter() -> None:
    """20 mm stays the limit of an exhaust when the shop wants 5 mm to everything."""
    loose = measured(PIPE, clearance=0.005, set_by_shop=frozenset({"clearance"}))
    kept = found(loose, "tail pipe", "clearance to the exhaust")
    assert {(f.limit, f.standing) for f in kept} == {(20.0, "common practice")}
    assert {f.verdict for f in found(loose, "tail pipe", "clearance")} == {"passes"}
    strict = measured(PIPE, clearance=0.090, set_by_shop=frozenset({"clearance"}))
    assert {f.verdict for f in found(strict, "tail pipe", "clearance")} == {"fails"}


def test_ground_clearance_is_judged_only_against_a_limit_of_the_shop() -> None:
    assert found(measured(BEAM), "ground", "ground clearance") == []
    (low,) = found(measured(BEAM, ground=0.4), "ground", "ground clearance")
    assert (low.verdict, low.state.height) == ("fails", "loaded")
    assert found(measured(BEAM), "ground", "ground contact")[0].verdict == "passes"


def test_the_swept_outline_holds_every_joint_and_shaft_of_every_state() -> None:
    configuration = samples.two_piece()
    motion = solve(configuration, states=sweep_states(configuration, heights=5))
    center = motion.joint_center[:, 0]
    for view in (SIDE, TOP):
        x, low, high = swept(motion, view)
        for joint, size in enumerate(configuration.joints):
            top, bottom = (np.interp(center[:, joint, 0], x, edge) for edge in (high, low))
            assert np.all(center[:, joint, view] + size.swing_radius <= top + 1e-3)
            assert np.all(center[:, joint, view] - size.swing_radius >= bottom - 1e-3)
        middle = center[:, 1:].mean(axis=1)
        radius = configuration.shafts[1].tube.outside / 2
        assert np.all(middle[:, view] + radius <= np.interp(middle[:, 0], x, high) + 1e-3)
        assert high.max() - center[..., view].max() < 0.061
    assert {radius for _, radius in section(motion, 2.9)} == {0.0889 / 2}
    assert section(motion, 9.0) == []


def test_pictures_show_the_closest_place_first_and_are_left_out_without_obstacles(
    tmp_path: Path,
) -> None:
    m = measured(BEAM, PIPE, SKID)
    motion = solve(m.configuration, states=m.states)
    spots = closest_spots(m)
    assert [spot.near.distance for spot in spots] == sorted(s.near.distance for s in spots)
    assert len(spots) == 3
    drawn = (
        *draw_envelope(motion, m, TRADE_INCH, "yard", tmp_path),
        *draw_clearance(m, judge(m), TRADE_INCH, "yard", tmp_path),
    )
    assert [p.name for p in drawn] == [
        f"{n}.{e}" for n in ("envelope", "clearance") for e in ("svg", "png")
    ]
    for path in drawn[1::2]:
        assert len(np.unique(iio.imread(path)[..., :3].mean(axis=-1).astype(int))) > 30
    bare = measured()
    assert draw_envelope(motion, bare, METRIC, "yard", tmp_path) == ()


def test_the_cut_is_drawn_where_a_part_of_the_driveline_comes_near_not_one_of_the_axle(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A plate on the frame is met by the axle sooner than the beam is by shaft 2."""
    plate = box("plate", (3980, -80, 600), (4000, 80, 620))
    m = measured(BEAM, plate)
    near = {spot.near.obstacle: spot.near for spot in closest_spots(m)}
    assert (near["plate"].on_axle, near["beam"].on_axle) == (True, False)
    assert near["plate"].distance < near["beam"].distance
    cut: list[str] = []
    monkeypatch.setattr(
        "sim.show.plots.envelope.draw_across",
        lambda axes, motion, m, display, spot: cut.append(spot.near.obstacle),
    )
    draw_envelope(solve(m.configuration, states=m.states), m, METRIC, "yard", tmp_path)
    assert cut == ["beam"]


def test_the_picture_draws_the_limit_of_an_obstacle_whatever_its_name_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[str] = []
    monkeypatch.setattr(
        "sim.show.plots.clearance.limit_line", lambda axes, value, text: drawn.append(text)
    )
    m = measured(replace(BEAM, name="hose to tank", least_clearance=0.04))
    draw_clearance(m, judge(m), METRIC, "yard", tmp_path)
    assert drawn == ["wanted 40 mm: hose to tank"]


def test_the_table_names_obstacle_part_limit_verdict_and_place() -> None:
    m = measured(replace(BEAM, least_clearance=0.05), PIPE)
    (table,) = clearance_tables(m, judge(m), METRIC)
    rows = {row[:2]: row for row in table.rows}
    _, _, least, wanted, verdict, state, rest, place = rows["beam", "shaft 2"]
    assert (wanted, verdict, state) == ("50.0", "fails", "full bump, hard launch")
    assert 0 < float(least) < 50 < float(rest)
    assert place.startswith("2700 aft, ")
    assert place.endswith("600 up")
    assert table.rows[-1][0] == "ground"
    assert any("size assumed" in row[1] for row in table.rows)


def test_the_table_wants_the_largest_limit_but_that_at_rest_and_says_the_largest_doubt() -> None:
    m = measured(BEAM, PIPE)
    doubt = {"beam": 0.0001, "tail pipe": 0.0003, "ground": 0.0002}
    near = tuple(replace(c, certified_within=doubt[c.obstacle]) for c in m.numbers.near)
    m = replace(m, numbers=replace(m.numbers, near=near))
    findings = judge(m)
    beam = [f for f in findings.findings if f.where == "shaft 2 to beam"]
    assert {f.rule: f.limit for f in beam} == {
        "contact": 0, "clearance": 10, "clearance at rest": 25
    }  # fmt: skip
    (table,) = clearance_tables(m, findings, METRIC)
    rows = {row[:2]: row for row in table.rows}
    assert rows["beam", "shaft 2"][3] == "10.0"
    assert "comes nearer by more than 0.30 mm." in table.note


def test_places_are_said_in_words_without_signs() -> None:
    m = measured(SKID)
    near = min((c for c in m.numbers.near if c.part == "shaft 2"), key=lambda c: c.distance)
    assert place_of(replace(near, point=np.array([-0.1, -0.254, -0.0254])), TRADE_INCH) == (
        "3.94 in forward, 10.00 in left, 1.00 in down"
    )
