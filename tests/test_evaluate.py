"""Many designs at once: each is what it would be alone."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sim.errors import DomainError, GeometryError
from sim.explore.evaluate import evaluate, varied
from sim.explore.sampling import draw, drawn_values
from sim.explore.sources import sources_of
from sim.measure.measure import measure
from sim.measure.numbers import Deep, Numbers
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration
from sim.scene.reader import load_scene, read_scene

ROOT = Path(__file__).parents[1]
TRUCK = ROOT / "scenes" / "orchard_service_truck.toml"
SHIPPED = [
    pytest.param(c, id=f"{path.stem}, {c.name}")
    for path in sorted((ROOT / "scenes").glob("*.toml"))
    for c in load_scene(path).configurations
]
KEPT = ("configuration", "states", "deep")


def truck(name: str = "two-piece", changes: dict[str, str] | None = None) -> Configuration:
    text = TRUCK.read_text(encoding="utf-8")
    for before, after in (changes or {}).items():
        assert before in text
        text = text.replace(before, after)
    return read_scene(text.encode()).configuration(name)


def arrays(numbers: Numbers | Deep) -> dict[str, np.ndarray]:
    every = {f.name: getattr(numbers, f.name) for f in fields(numbers)}
    return {name: value for name, value in every.items() if isinstance(value, np.ndarray)}


def samples(c: Configuration, count: int) -> dict[str, np.ndarray]:
    sources = sources_of(c)
    return drawn_values(c, sources, draw(sources, count))


def same_bits(found: Numbers, alone: Numbers) -> None:
    assert found.states == alone.states
    for name, value in arrays(alone).items():
        assert np.array_equal(getattr(found, name), value), name


@pytest.mark.parametrize("c", SHIPPED)
def test_a_batch_of_one_is_solved_and_measured_bit_for_bit(c: Configuration) -> None:
    motion = solve(c)
    alone = measure(motion).numbers
    found = evaluate(c.design, deep=True)
    same_bits(found, alone)
    assert found.deep.pairs == alone.deep.pairs
    for name, value in arrays(alone.deep).items():
        assert np.array_equal(getattr(found.deep, name), value), name
    same_bits(evaluate(c.design, states=motion.states), alone)


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(c=st.sampled_from([p.values[0] for p in SHIPPED]), number=st.integers(0, 499))
def test_a_random_design_alone_is_solved_and_measured_bit_for_bit(c, number) -> None:
    values = {path: value[number] for path, value in samples(c, 500).items()}
    design = varied(c.design, values)
    found = evaluate(c.design, values)
    try:
        alone = measure(solve(design.build())).numbers
    except GeometryError:
        assert found.lost.any()
    else:
        same_bits(found, alone)


@pytest.mark.parametrize("c", SHIPPED)
def test_designs_side_by_side_are_what_each_is_alone(c: Configuration) -> None:
    values, states = samples(c, 40), sweep_states(c, heights=5)
    together = evaluate(c.design, values, states)
    assert together.gap.shape == (40, len(states))
    assert not together.lost.any()
    for number in (0, 1, 17, 39):
        alone = evaluate(c.design, {path: v[number] for path, v in values.items()}, states)
        for name, value in arrays(alone).items():
            ours = getattr(together, name)[number : number + 1].astype(float)
            scale = max(1.0, float(np.abs(value).max()))
            assert np.abs(ours - value).max() <= 1e-9 * scale, name


@pytest.mark.parametrize("c", [p for p in SHIPPED if "truck" in p.id or "van" in p.id])
def test_deep_numbers_side_by_side_are_what_each_is_alone(c: Configuration) -> None:
    values, states = samples(c, 5), sweep_states(c, heights=3)
    together = evaluate(c.design, values, states, deep=True)
    assert together.deep is not None
    alone = evaluate(c.design, {path: v[4] for path, v in values.items()}, states, deep=True)
    assert alone.deep is not None
    assert together.deep.pairs == alone.deep.pairs
    for name, theirs in arrays(alone.deep).items():
        ours = getattr(together.deep, name)[4:]
        assert ours == pytest.approx(theirs, rel=1e-7, abs=1e-9), name


def test_where_designs_start_from_makes_no_difference() -> None:
    c = truck()
    assert c.design is not None
    states, values = sweep_states(c)[::3], samples(c, 20)
    own = evaluate(c.design, values, states)
    near = evaluate(c.design, values, states, near=evaluate(c.design, states=states))
    for name, value in arrays(own).items():
        np.testing.assert_allclose(arrays(near)[name], value, rtol=1e-9, atol=1e-9, err_msg=name)


def test_a_design_near_by_without_the_states_asked_for_is_refused() -> None:
    c = truck()
    assert c.design is not None
    one, other = sweep_states(c, heights=3)[:2]
    near = evaluate(c.design, states=[one])
    for states in (None, [], [one, other]):
        with pytest.raises(DomainError, match="near goes with states"):
            evaluate(c.design, {"bearing.1.up": [0.531, 0.534]}, states, near=near)


def test_states_belong_to_the_design_near_by() -> None:
    """A height without a name stands at its share of the bump that each design has."""
    c = truck()
    assert c.design is not None
    assert c.travel is not None
    states, more = sweep_states(c), c.travel.bump + 0.02
    share = np.array([s.travel > 0 and not s.height for s in states])
    read, other = evaluate(c.design, states=states), c.design.vary({"travel.bump": more})
    moved = evaluate(other, {"bearing.1.up": [0.531, 0.534]}, states, near=read)
    expected = [s.travel * more / c.travel.bump for s in states if s.travel > 0 and not s.height]
    assert moved.travel[1, share] == pytest.approx(np.array(expected), rel=1e-12)


def test_parked_shafts_turn_in_no_design() -> None:
    c = load_scene(ROOT / "scenes/mistakes/bottoms_when_parked_low.toml").configurations[0]
    assert c.design is not None
    states = sweep_states(c)
    found = evaluate(c.design, {"vehicle.axle_ratio": [3.9, 4.1]}, states)
    turning = np.array([s.turning for s in states])
    assert not turning.all()
    assert (found.road_speed > 0).tolist() == [turning.tolist()] * 2


def test_chunks_make_no_difference(monkeypatch) -> None:
    c = truck()
    values, states = samples(c, 31), sweep_states(c, heights=3)
    whole = evaluate(c.design, values, states)
    monkeypatch.setattr("sim.explore.evaluate.TOGETHER", 7 * len(states))
    for name, value in arrays(evaluate(c.design, values, states)).items():
        assert value == pytest.approx(getattr(whole, name), rel=1e-9, abs=1e-9), name


def test_a_height_without_a_name_keeps_its_share_of_the_droop() -> None:
    c = truck()
    half = next(s for s in sweep_states(c) if not s.height and -0.056 < s.travel < -0.053)
    found = evaluate(c.design, {"travel.droop": [0.110, 0.099]}, [half])
    assert found.travel[:, 0] == pytest.approx([half.travel, 0.9 * half.travel], abs=1e-15)
    there = replace(half, travel=0.9 * half.travel)
    alone = solve(c, states=[there])
    assert found.slip[1, 0] == pytest.approx(alone.slip[0, 0], abs=1e-12)


def test_a_weighed_load_is_that_of_each_design_and_of_the_exact_route() -> None:
    c = truck(changes={"1830 ± 30 kg": "2000 ± 100 kg"})
    loaded = [s for s in sweep_states(c, heights=2) if s.height == "loaded"]
    kilogram = 9.80665
    loads = np.array([2000.0, 1800.0, 2200.0]) * kilogram
    # The same torque of their own for all: only the springs feel the load.
    states = [s for s in loaded if s.case in ("no torque", "engine braking")]
    found = evaluate(c.design, {"height.loaded.axle_load": loads}, states)
    assert found.wheel_torque[:, 1] == pytest.approx(found.wheel_torque[0, 1])
    assert np.all(np.abs(np.diff(np.rad2deg(found.wrap[:, 1]))) > 0.003)
    assert found.wrap[0] == pytest.approx(solve(c, states=states).wrap, abs=1e-12)
    other = truck(changes={"1830 ± 30 kg": "2200 kg"})
    chosen = [s for s in sweep_states(other, heights=2) if s.height == "loaded"]
    braking = [s for s in chosen if s.case == "engine braking"]
    assert found.wrap[2, 1] == pytest.approx(solve(other, states=braking).wrap[0], abs=1e-9)


def test_a_named_height_stands_where_each_design_has_it() -> None:
    c = truck()
    droop = [s for s in sweep_states(c, heights=2) if s.height == "full droop"]
    found = evaluate(c.design, {"travel.droop": [0.110, 0.080, 0.120]}, droop)
    for state in range(len(droop)):
        assert found.travel[:, state] == pytest.approx([-0.110, -0.080, -0.120])


def test_a_value_moves_what_geometry_says() -> None:
    """Shaft 1 from (1745, 568) to the bearing at (2395, up): its slope by the arc tangent."""
    c = truck()
    up = np.array([0.520, 0.531, 0.545])
    ride = [s for s in sweep_states(c, heights=2) if s.situation == "ride height"]
    found = evaluate(c.design, {"bearing.1.up": up}, ride)
    aft = c.bearings[0].point[0] - c.output.point[0]
    assert found.slope[:, 0, 1] == pytest.approx(np.arctan2(c.output.point[2] - up, aft))


def test_what_cannot_be_reached_is_marked_and_the_rest_goes_on() -> None:
    c = truck()
    states = sweep_states(c, heights=2)
    lengths = np.array([0.115, 0.040, 0.120, 0.115])
    found = evaluate(c.design, {"suspension.shackle": lengths}, states)
    assert found.lost.any(axis=1).tolist() == [False, True, False, False]
    alone = evaluate(c.design, {}, states)
    assert found.slip[3] == pytest.approx(alone.slip[0], abs=1e-9)
    assert all(np.isfinite(value).all() for value in arrays(found).values())
    with pytest.raises(GeometryError):
        solve(c.design.vary({"suspension.shackle": 0.040}).build())


@pytest.mark.parametrize(
    ("scene", "path", "bad"),
    [
        ("orchard_service_truck", "suspension.shackle", 0.040),
        ("lowered_street_van", "travel.droop", 1.5),
    ],
)
@pytest.mark.parametrize("given", [True, False])
def test_a_first_design_that_cannot_be_takes_no_other_with_it(scene, path, bad, given) -> None:
    c = load_scene(ROOT / "scenes" / f"{scene}.toml").configurations[1]
    states = [s for s in sweep_states(c, heights=2) if s.height]
    good = c.design.values[path]
    design = c.design if given else c.design.vary({path: bad})  # else not even the base can be
    found = evaluate(design, {path: [bad, good, 1.001 * good]}, states)
    assert found.lost.any(axis=1).tolist() == [True, False, False]
    for number, value in ((1, good), (2, 1.001 * good)):
        alone = evaluate(c.design, {path: value}, states)
        assert found.slip[number] == pytest.approx(alone.slip[0], abs=1e-9)
        assert found.joint_angle[number] == pytest.approx(alone.joint_angle[0], abs=1e-9)


def test_shafts_already_cut_stay_as_they_were_cut() -> None:
    text = TRUCK.read_text(encoding="utf-8") + (
        '\n[configuration.as-landed]\nsame_shafts_as = "two-piece"\nbearing.1.up = "528 mm"\n'
    )
    c = read_scene(text.encode()).configuration("as-landed")
    states = sweep_states(c, heights=2)
    found = evaluate(c.design, {"bearing.1.up": [0.531, 0.528, 0.525]}, states)
    ride = next(k for k, s in enumerate(states) if s.height == "ride height")
    assert abs(found.slip[0, ride]) < 1e-12  # hung where it was cut for: nothing slides
    for number, up in enumerate((0.531, 0.528, 0.525)):
        alone = solve(c.design.vary({"bearing.1.up": up}).build(), states=states)
        assert found.slip[number] == pytest.approx(alone.slip[:, 0], abs=1e-9)
    cut = evaluate(c.design, {"cut bearing.1.up": [0.531, 0.534]}, states)
    assert abs(cut.slip[1, ride]) > 1e-6


def test_shafts_that_do_not_go_in_reach_no_state() -> None:
    text = TRUCK.read_text(encoding="utf-8") + (
        '\n[configuration.as-landed]\nsame_shafts_as = "two-piece"\nbearing.1.up = "528 mm"\n'
    )
    c = read_scene(text.encode()).configuration("as-landed")
    far = {"bearing.1.aft": [2.395, 2.550]}  # 40 mm behind the end of the shaft that it carries
    found = evaluate(c.design, far, sweep_states(c, heights=2))
    assert found.lost.all(axis=1).tolist() == [False, True]
    with pytest.raises(GeometryError, match="ahead of bearing 1"):
        solve(c.design.vary({"bearing.1.aft": 2.550}).build())


def test_critical_speed_is_that_of_the_longest_shaft_in_what_is_reached() -> None:
    """IMS Ltd, technical data, critical speeds: 1.21e8 √(D² + d²)/L² rpm, in mm."""
    c = truck()
    found = evaluate(c.design, {"suspension.shackle": [0.115, 0.040]}, sweep_states(c, heights=3))
    assert found.lost[1].any()
    assert not found.lost[1].all()
    longest = found.length[1][~found.lost[1]].max(axis=0)
    tube = c.shafts[0].tube  # its end slides in the spline
    rpm = 1.21e8 * np.hypot(1e3 * tube.outside, 1e3 * tube.inside) / (1e3 * longest[0]) ** 2
    assert found.critical_speed[1, 0] * 30 / np.pi == pytest.approx(rpm)


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("path", ["bearing.1.up", "vehicle.top_speed"])
def test_what_is_no_number_is_refused_before_it_spreads(path: str, value: float) -> None:
    with pytest.raises(DomainError, match=rf"values of {path} must be finite numbers; got \["):
        evaluate(truck().design, {path: [0.53, value]}, deep=True)


def test_values_that_differ_in_length_are_refused() -> None:
    c = truck()
    with pytest.raises(DomainError, match="differ in length"):
        evaluate(c.design, {"bearing.1.up": [0.5, 0.6], "output.up": [0.5, 0.5, 0.6]})
    with pytest.raises(DomainError, match="at least one state"):
        evaluate(c.design, states=[])
    with pytest.raises(DomainError, match=r"carries no shafts"):
        evaluate(c.design, {"cut bearing.1.up": [0.5, 0.6]})


def test_deep_numbers_of_what_cannot_be_are_finite() -> None:
    """Bearings far off, stubs longer than their shafts, one tube of two varied, axles too high."""
    c, random = truck(), np.random.default_rng(3)
    values = {
        "bearing.1.aft": 2.395 + random.normal(0, 0.5, 60),
        "bearing.1.to_joint": np.abs(random.normal(0, 0.8, 60)),
        "shaft.1.tube.outside": random.uniform(0.05, 0.12, 60),
        "axle.up": 0.395 + random.normal(0, 0.2, 60),
    }
    found = evaluate(c.design, values, sweep_states(c, heights=3), deep=True)
    assert found.lost.any()
    shaken = "bounce_speed", "bounce_force", "bounce_swing", "half_critical_force"
    for name in ("beam_speed", "bearing_mode", "yield_torque", "clearance", *shaken):
        assert np.isfinite(getattr(found.deep, name)).all(), name


def test_a_torque_is_what_it_is_to_each_design_whatever_its_neighbors() -> None:
    """Top gear and half of a hard launch stand between the torques, as in the torque cases."""
    towing = '[torque_case]\n"towing" = "1000 N m at the wheels"\n\n[obstacle."exhaust pipe"]'
    c = truck(changes={'[obstacle."exhaust pipe"]': towing})
    torques = np.array([1000.0, 1000.0, 2000.0, 6000.0, -100.0, -900.0, 0.0])
    states = [s for s in sweep_states(c, heights=2) if s.case == "towing"]
    together = evaluate(c.design, {"torque_case.towing": torques}, states)
    assert len(set(together.road_speed[:, 0])) >= 3
    for number, torque in enumerate(torques):
        alone = evaluate(c.design, {"torque_case.towing": torque}, states)
        assert together.road_speed[number] == pytest.approx(alone.road_speed[0], rel=1e-12)
        assert together.shaft_torque[number] == pytest.approx(alone.shaft_torque[0], rel=1e-12)


@pytest.mark.parametrize("wall", [0.060, -0.001])
def test_a_wall_that_leaves_no_tube_takes_no_other_design_with_it(wall) -> None:
    """Half of the outside diameter is the thickest wall; the truck's tubes are thinner by far."""
    c = truck()
    good, states = c.shafts[0].tube.wall, sweep_states(c, heights=2)
    found = evaluate(c.design, {"shaft.1.tube.wall": [good, wall]}, states, deep=True)
    assert found.lost.all(axis=1).tolist() == [False, True]
    alone = evaluate(c.design, states=states, deep=True)
    for name, value in arrays(alone.deep).items():
        ours = getattr(found.deep, name)
        assert ours[:1] == pytest.approx(value, rel=1e-7, abs=1e-9), name
        assert np.isfinite(ours).all() or name.startswith("life"), name
    with pytest.raises(GeometryError, match="the wall of its tube"):
        solve(c.design.vary({"shaft.1.tube.wall": wall}).build())
