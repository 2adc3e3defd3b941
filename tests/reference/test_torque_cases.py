"""Torque cases: limits by statics, worked by hand; factors are common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.errors import DomainError
from sim.motion.sweep import sweep_states
from sim.motion.torque import torque_loads
from sim.scene.parts import Height, Reading, TorqueCase


def load(made, name):
    return next(one for one in torque_loads(made) if one.name == name)


def only(made, **case):
    """Return the only load of a configuration with this one torque case."""
    (found,) = torque_loads(replace(made, torque_cases=(TorqueCase(**case),)))
    return found


@pytest.mark.parametrize(
    ("make", "engine", "tires", "shaft", "wheel"),
    [
        # 610 · 4.17 · 1.9 · 0.92; 0.9 · 14200 · 0.395 · 1.2; tires over 4.1 · 0.96
        (samples.one_piece, 4446.39, 6057.72, 1539.05, 6057.72),
        # 450 · 4.71 · 1.7 · 0.92; 1.0 · 10500 · 0.345 · 1.1; tires over 3.23 · 0.96
        (samples.car, 3314.90, 3984.75, 1285.07, 3984.75),
    ],
)
def test_hard_launch_is_limited_by_the_tires(make, engine, tires, shaft, wheel):
    # statics by hand
    launch = load(make(), "hard launch")
    assert launch.engine_limited_shaft == pytest.approx(engine, abs=0.01)
    assert launch.tire_limited_wheel == pytest.approx(tires, abs=0.01)
    assert launch.shaft_torque == pytest.approx(shaft, abs=0.01)
    assert launch.wheel_torque == pytest.approx(wheel, abs=0.01)
    assert launch.basis == "derived"


def test_hard_launch_of_a_weak_engine_is_limited_by_the_engine():
    # 100 · 4.17 · 1.9 · 0.92 = 728.92; times 4.1 · 0.96 = 2869.01: statics by hand
    weak = samples.one_piece(vehicle=replace(samples.TRUCK, engine_torque=100.0))
    launch = load(weak, "hard launch")
    assert launch.wheel_torque == pytest.approx(2869.01, abs=0.01)
    assert launch.shaft_torque == pytest.approx(728.92, abs=0.01)


def test_cruise_follows_road_load():
    # (0.012 · 28400 + 0.6 · 1.5 · 43.0556²) N on 0.395 m: by hand; factors common practice
    cruise = load(samples.one_piece(), "cruise")
    force = 340.8 + 0.9 * (155 / 3.6) ** 2
    assert cruise.wheel_torque == pytest.approx(force * 0.395, rel=1e-12)
    assert any("1.5 m², as of a light truck" in words for words in cruise.words)


def test_cruise_of_a_car_meets_less_air():
    # (0.012 · 21000 + 0.6 · 0.7 · 62.5²) N on 0.345 m: by hand
    cruise = load(samples.car(), "cruise")
    assert cruise.wheel_torque == pytest.approx((252 + 0.42 * 62.5**2) * 0.345, rel=1e-12)


def test_cruise_with_nothing_known_is_a_tenth_of_hard_launch():
    # 0.10: common practice, no source
    unknown = samples.one_piece(vehicle=replace(samples.TRUCK, axle_load=None))
    launch, cruise = load(unknown, "hard launch"), load(unknown, "cruise")
    assert cruise.wheel_torque == pytest.approx(0.1 * launch.wheel_torque, rel=1e-12)
    assert (cruise.basis, launch.tire_limited_wheel) == ("default", None)
    assert "0.10 of hard launch" in cruise.words[0]


def test_pull_away_is_half_of_hard_launch_derived_or_given():
    # statics by hand: half of 6057.72; a half is our proposal, no source
    away = only(samples.one_piece(), name="pull-away")
    assert (away.wheel_torque, away.basis) == (pytest.approx(3028.86, abs=0.01), "derived")
    assert away.words[0] == "half of hard launch (common practice, no source)"
    cases = (TorqueCase(name="pull-away"), TorqueCase(name="hard launch", wheel_torque=5000.0))
    made = replace(samples.one_piece(), torque_cases=cases)
    assert load(made, "pull-away").wheel_torque == 2500.0


@pytest.mark.parametrize(
    ("name", "torque", "kind"),
    [
        # top gear holds 610 · 0.69 · 4.1 · 0.92 · 0.96 = 1524.1; half of hard launch is 3028.9
        ("tow", 0.0, "no torque"),
        ("tow", -1.0, "overrun"),
        ("cruise", -1.0, "overrun"),
        ("tow", 1524.0, "cruise"),
        ("tow", 1525.0, "pull-away"),
        ("tow", 3028.0, "pull-away"),
        ("tow", 3030.0, "hard launch"),
        ("cruise", 3030.0, "cruise"),
        ("pull-away", 3030.0, "pull-away"),
        ("hard launch", 100.0, "hard launch"),
    ],
)
def test_case_is_taken_by_its_name_or_by_its_torque(name, torque, kind):
    # by hand
    assert only(samples.one_piece(), name=name, wheel_torque=torque).kind == kind
    shaft = only(samples.one_piece(), name=name, shaft_torque=torque / (4.1 * 0.96))
    assert shaft.kind == kind


def test_loads_of_a_height_follow_the_axle_load_there():
    # statics by hand, with 18 000 N in place of 14 200 N: 0.9 · 18000 · 0.395 · 1.2 = 7678.8 N m,
    # still less than the engine gives; half of it; (0.012 · 36000 + 0.9 · 43.0556²) N · 0.395 m
    height = Height(name="loaded", left=0.035, right=0.035, axle_load=18_000.0)
    made = samples.one_piece(
        travel=replace(samples.TRUCK_TRAVEL, heights=(height,)),
        torque_cases=(*samples.CASES, TorqueCase(name="pull-away")),
    )
    states = {(s.height, s.case): s for s in sweep_states(made) if not s.roll}
    assert states["loaded", "hard launch"].wheel_torque == pytest.approx(7678.8)
    assert states["loaded", "hard launch"].shaft_torque == pytest.approx(7678.8 / 4.1 / 0.96)
    assert states["loaded", "pull-away"].wheel_torque == pytest.approx(7678.8 / 2)
    cruise = (0.012 * 36_000 + 0.9 * (155 / 3.6) ** 2) * 0.395
    assert states["loaded", "cruise"].wheel_torque == pytest.approx(cruise)
    assert states["ride height", "hard launch"].wheel_torque == pytest.approx(6057.72)
    loads = {name: states[name, "cruise"].axle_load for name in ("loaded", "ride height")}
    assert loads == {"loaded": 18_000.0, "ride height": None}
    # anywhere else in the travel, the vehicle goes loaded as well
    assert states["full bump", "hard launch"].wheel_torque == pytest.approx(7678.8)
    light = replace(height, axle_load=10_000.0)
    lighter = replace(made, travel=replace(samples.TRUCK_TRAVEL, heights=(light,)))
    states = {(s.height, s.case): s for s in sweep_states(lighter) if not s.roll}
    assert states["loaded", "hard launch"].wheel_torque == pytest.approx(7678.8 / 1.8)
    assert states["full bump", "hard launch"].wheel_torque == pytest.approx(6057.72)


@pytest.mark.parametrize(
    ("height", "case", "situation"),
    [
        ("ride height", "no torque", "ride height"),
        ("loaded", "no torque", "loaded"),
        ("ride height", "pull-away", "pull-away"),
        ("loaded", "pull-away", "pull-away"),
        ("loaded", "hard launch", "hard launch"),
        ("loaded", "engine braking", "overrun"),
        ("kerb", "no torque", "travel"),
        ("kerb", "cruise", "extreme"),
        ("full bump", "no torque", "travel"),
        ("full bump", "pull-away", "extreme"),
    ],
)
def test_what_a_state_is_to_a_rule(height, case, situation):
    # by definition, see ``states.Situation``
    heights = (
        Height(name="loaded", left=0.035, right=0.035),
        Height(name="kerb", left=0.035, right=0.0),
    )
    made = samples.one_piece(
        travel=replace(samples.TRUCK_TRAVEL, heights=heights),
        torque_cases=(*samples.CASES, TorqueCase(name="pull-away")),
    )
    (state,) = (
        s
        for s in sweep_states(made)
        if (s.height, s.case) == (height, case) and bool(s.roll) == (height == "kerb")
    )
    assert state.situation == situation


def test_engine_braking_pulls_the_other_way():
    # −0.2 · 610 · 4.17 · 4.1: by hand; 0.2 is common practice
    braking = load(samples.one_piece(), "engine braking")
    assert braking.wheel_torque == pytest.approx(-2085.83, abs=0.01)
    assert braking.shaft_torque < 0


def test_engine_braking_never_beyond_what_the_tires_hold():
    # −0.8/1.2 of 6057.72 N m: by hand; 0.8 is common practice
    strong = samples.one_piece(vehicle=replace(samples.TRUCK, engine_torque=3000.0))
    braking = load(strong, "engine braking")
    assert braking.wheel_torque == pytest.approx(-4038.48, abs=0.01)
    assert any("tires grip" in words for words in braking.words)


@pytest.mark.parametrize(
    ("given", "wheel", "shaft"),
    [({"wheel_torque": 3936.0}, 3936.0, 1000.0), ({"shaft_torque": 1000.0}, 3936.0, 1000.0)],
)
def test_given_torque_is_used_as_it_is(given, wheel, shaft):
    # 4.1 · 0.96 = 3.936: by hand
    found = only(samples.one_piece(), name="hard launch", **given)
    assert (found.wheel_torque, found.shaft_torque) == pytest.approx((wheel, shaft), rel=1e-12)
    assert found.basis == "given"
    assert found.words == ("axle efficiency 0.96 (common practice, no source)",)


def test_at_rest_there_is_no_torque_and_nothing_to_say():
    # by definition
    rest = load(samples.one_piece(), "no torque")
    assert (rest.wheel_torque, rest.shaft_torque, rest.words) == (0.0, 0.0, ())


@pytest.mark.parametrize("name", ["pull-away", "hard launch", "engine braking", "cruise"])
def test_nothing_known_gives_no_torque_and_says_so(name):
    # common practice, no source
    bare = replace(samples.TRUCK, engine_torque=None, axle_load=None)
    found = only(samples.one_piece(vehicle=bare), name=name)
    assert (found.wheel_torque, found.basis) == (0.0, "default")
    assert any("no torque" in words for words in found.words)


def test_case_that_cannot_be_derived_is_refused():
    with pytest.raises(
        DomainError, match='"towing" has no torque; only no torque, cruise, pull-away'
    ):
        only(samples.one_piece(), name="towing")


def test_measured_grip_is_not_called_a_default():
    made = samples.one_piece()
    reading = Reading(
        path="vehicle.tire_grip", value=0.9, spread=0.0, text="90 %", status="measured", line=3
    )
    told = " ".join(load(made, "hard launch").words)
    asked = replace(made, readings={"vehicle.tire_grip": reading})
    assert "tire grip 0.9" in told
    assert "tire grip" not in " ".join(load(asked, "hard launch").words)


def test_hard_launch_turns_the_shaft_as_first_gear_does_at_cut_off():
    # 5600/4.17 = 1343 rpm; 1343/60 · 2.545/4.1 m/s = 50 km/h: by hand
    states = [s for s in sweep_states(samples.one_piece()) if s.case == "hard launch"]
    assert {round(s.road_speed * 3.6, 1) for s in states} == {50.0}
    assert states[0].road_speed == pytest.approx(5600 / 4.17 / 60 * 2.545 / 4.1, rel=1e-12)


def test_fast_near_ride_height_and_slow_at_the_stops():
    # top speed within half of the travel, 50 km/h at full travel: common practice, no source
    states = [s for s in sweep_states(samples.one_piece()) if s.case == "no torque" and not s.roll]
    speed = {round(s.travel, 9): s.road_speed * 3.6 for s in states}
    assert speed[0.0] == speed[0.045] == pytest.approx(155)
    assert (speed[-0.110], speed[0.095]) == pytest.approx((50, 50))
    bump = np.array([(t, v) for t, v in sorted(speed.items()) if t > 0.0475])
    assert bump[:, 1] == pytest.approx(155 - 105 * (bump[:, 0] / 0.095 - 0.5) / 0.5, abs=1e-6)


def test_on_the_overrun_the_axle_loses_toward_the_engine(one_piece):
    # Power flows from the wheels: shaft power is wheel power times the efficiency, 0.96 (common
    # practice, no source); with wheel speed = shaft speed / 4.10, T_shaft = 0.96 T_wheel / 4.10.
    loads = {load.name: load for load in torque_loads(one_piece)}
    braking, launch = loads["engine braking"], loads["hard launch"]
    assert braking.wheel_torque < 0
    assert braking.shaft_torque == pytest.approx(0.96 * braking.wheel_torque / 4.10)
    assert launch.shaft_torque == pytest.approx(launch.wheel_torque / 4.10 / 0.96)
