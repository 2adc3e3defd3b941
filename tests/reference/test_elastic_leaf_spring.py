"""The leaf spring against an elastic rod with its own balance of forces (mechanisms/rod.py).

Source: Euler's elastica, each half graded so that a load at its eye bends it to an arc, and the
equilibrium of axle and wheels as one free body, both written out in the rod.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from reference.mechanisms.rod import Half, RodSpring, fit, postures, rolled

from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import Configuration

# Wheel torque of a hard launch of the orchard truck at the grip of its tires [N m].
LAUNCH = 6058.0
TRAVELS = np.array([-0.100, -0.060, -0.030, 0.0, 0.030, 0.060, 0.090])


def orchard_truck() -> Configuration:
    return samples.one_piece()


def stiff_halves() -> Configuration:
    """Return a shorter spring over the axle whose two halves differ less."""
    c = samples.one_piece()
    springs = replace(
        c.suspension,
        front_eye=samples.place(3000, 0, 520),
        shackle_pivot=samples.place(4385, 0, 600),
        shackle=0.110,
        front_half=0.640,
        rear_half=0.760,
        seat_height=0.080,
        rate=60e3,
        load=7000.0,
        half_rates=(760 / 640) ** 3,
    )
    axle = samples.place(3640, 0, 425)
    pinion = samples.pinion_from_axle(axle, 345, 35, 20, 3.0)
    return replace(c, suspension=springs, axle=axle, pinion=pinion)


def long_chassis() -> Configuration:
    return samples.three_piece()


def under_the_axle() -> Configuration:
    """Return a spring under the axle whose shackle stands."""
    c = stiff_halves()
    springs = replace(
        c.suspension,
        front_eye=samples.place(3000, 0, 360),
        shackle_pivot=samples.place(4385, 0, 250),
        shackle_kind="standing",
        seat_height=-0.080,
    )
    return replace(c, suspension=springs)


SPRINGS = {
    "orchard truck": orchard_truck,
    "stiff": stiff_halves,
    "long chassis": long_chassis,
    "under the axle": under_the_axle,
}


@pytest.fixture(params=SPRINGS)
def configuration(request) -> Configuration:
    return SPRINGS[request.param]()


@pytest.fixture
def rod(configuration) -> RodSpring:
    return rod_of(configuration)


def rod_of(configuration: Configuration) -> RodSpring:
    aft, _, up = configuration.axle
    springs = configuration.suspension
    return fit(springs, up, (aft, up + springs.seat_height), 0.0)


def of_rod(configuration: Configuration, rod: RodSpring, travels, torque: float) -> np.ndarray:
    """Return axle center aft [m] and turn of the seat [rad], shape (S, 2)."""
    radius = configuration.vehicle.tire_radius
    return postures(rod, configuration.axle[2], travels, torque, radius)


def state_of(travel: float, torque: float) -> State:
    return State(
        height="",
        case="no torque",
        travel=float(travel),
        roll=0.0,
        wheel_torque=torque,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    )


def of_solve(configuration: Configuration, travels, torque: float) -> np.ndarray:
    """Return the same from the program."""
    states = [state_of(travel, torque) for travel in travels]
    motion = solve(configuration, states=states, turn_angle=np.zeros(1))
    # Nose up lifts what lies ahead: the forward axis (-1, 0, 0) gains height.
    turn = np.arctan2(motion.axle_rotation[:, 0, 2], motion.axle_rotation[:, 0, 0])
    return np.stack([motion.axle_center[:, 0], turn], axis=-1)


def degrees_apart(a: np.ndarray, b: np.ndarray) -> float:
    return float(np.rad2deg(np.abs(a[:, 1] - b[:, 1])).max())


def test_the_parked_pinion_turns_with_travel_as_on_an_elastic_rod(configuration, rod):
    expected = of_rod(configuration, rod, TRAVELS, 0.0)
    got = of_solve(configuration, TRAVELS, 0.0)
    assert degrees_apart(got, expected) < 0.05
    assert np.abs(got[:, 0] - expected[:, 0]).max() < 0.1e-3
    assert np.rad2deg(np.ptp(expected[:, 1])) > 2  # the turn that is to be met


def test_a_launch_at_ride_height_winds_the_axle_up_as_on_an_elastic_rod(configuration, rod):
    expected = of_rod(configuration, rod, np.zeros(1), LAUNCH)
    got = of_solve(configuration, np.zeros(1), LAUNCH)
    assert degrees_apart(got, expected) < 0.05
    assert np.abs(got[:, 0] - expected[:, 0]).max() < 1.0e-3
    assert np.rad2deg(expected[0, 1]) > 4  # nose up, by much


def test_engine_braking_turns_the_nose_down_as_on_an_elastic_rod(configuration, rod):
    expected = of_rod(configuration, rod, np.zeros(1), -1500.0)
    got = of_solve(configuration, np.zeros(1), -1500.0)
    assert degrees_apart(got, expected) < 0.05
    assert np.rad2deg(expected[0, 1]) < -1


def test_under_launch_torque_at_full_travel_the_arms_still_follow_the_rod(configuration, rod):
    expected = of_rod(configuration, rod, TRAVELS[[0, -1]], LAUNCH)
    got = of_solve(configuration, TRAVELS[[0, -1]], LAUNCH)
    # Rigid arms are exact to second order only; both far travel and large wrap show the next.
    assert degrees_apart(got, expected) < 0.3


@pytest.mark.parametrize("more", [-2000.0, 3000.0])
@pytest.mark.parametrize("travel", [0.0, 0.035])
def test_a_weighed_load_winds_up_as_on_a_rod_made_to_carry_it_there(configuration, travel, more):
    # The rod is fitted at the loaded height: it stands as parked and carries the load there.
    springs, (_, _, up) = configuration.suspension, configuration.axle
    ((aft, slope),) = of_solve(configuration, [travel], 0.0)
    seat = (aft + springs.seat_height * np.sin(slope), 0.0)
    rods, found = [], []
    for beyond in (0.0, more):
        load = springs.load + springs.rate * travel + beyond
        rod = fit(replace(springs, load=load), up + travel, seat, slope)
        radius = configuration.vehicle.tire_radius
        rods.append(postures(rod, up + travel, np.zeros(1), LAUNCH, radius)[0, 1] - slope)
        weighed = configuration.vehicle.axle_load + 2 * (springs.rate * travel + beyond)
        state = replace(state_of(travel, LAUNCH), axle_load=weighed)
        found.append(solve(configuration, states=[state], turn_angle=np.zeros(1)).wrap[0])
    assert np.rad2deg(found) == pytest.approx(np.rad2deg(rods), abs=0.06)
    # What the load itself does, hundredths of a degree: more wrap or, under the axle, less.  Rigid
    # arms stand for a rod to second order; of so small a change they miss up to a quarter.
    assert np.diff(found) == pytest.approx(np.diff(rods), rel=0.3)
    assert np.abs(np.diff(rods)) > np.deg2rad(0.01)


@pytest.mark.parametrize(("roll_degrees", "torque"), [(3.0, 0.0), (-5.0, 0.0), (3.0, LAUNCH)])
def test_a_rolled_axle_lies_across_both_elastic_rods(configuration, rod, roll_degrees, torque):
    springs, up = configuration.suspension, configuration.axle[2]
    radius = configuration.vehicle.tire_radius
    roll = np.deg2rad(roll_degrees)
    rise = springs.spacing / 2 * np.sin(roll)  # right side up
    aft, slope = rolled(rod, (up - rise, up + rise), torque, radius)
    state = replace(state_of(0.0, torque), roll=float(roll))
    motion = solve(configuration, states=(state,), turn_angle=np.zeros(1))
    across = motion.axle_rotation[0] @ [0.0, 1.0, 0.0]  # from the left to the right wheel
    assert across[2] == pytest.approx(np.sin(roll), abs=1e-6)  # the wheels stand as the state says
    yaw = np.arctan2(across[0], across[1]) - np.arctan2(
        aft[1] - aft[0], springs.spacing * np.cos(roll)
    )
    assert np.rad2deg(yaw) == pytest.approx(0, abs=0.02)
    along = motion.axle_rotation[0] @ [1.0, 0.0, 0.0]
    pitch = np.arctan2(-along[2], along[0])
    assert np.rad2deg(pitch - slope) == pytest.approx(0, abs=0.05)
    assert motion.axle_center[0, 0] == pytest.approx(aft.mean(), abs=1e-3 if torque else 1e-5)
    # The spring seats, fixed to the axle, stay abreast of the frame's middle.
    seat = motion.axle_rotation[0] @ [0.0, 0.0, springs.seat_height]
    assert motion.axle_center[0, 1] + seat[1] == pytest.approx(0, abs=1e-12)


def test_half_as_many_cells_of_the_rod_change_nothing_that_matters(configuration, rod, monkeypatch):
    fine = of_rod(configuration, rod, TRAVELS, LAUNCH)
    monkeypatch.setattr("reference.mechanisms.rod.CELLS", 40)
    coarse = of_rod(configuration, rod_of(configuration), TRAVELS, LAUNCH)
    assert degrees_apart(fine, coarse) < 0.01


def test_a_small_load_bends_half_a_rod_as_beam_theory_says():
    # Graded cantilever, Euler-Bernoulli: deflection F L³ / (2 EI), slope F L² / (EI).
    length, stiffness, load = 0.6, 3000.0, 1.0
    x, z, slope = Half(length, stiffness).seat_from_eye(0.0, (0.0, -load), 1.0)
    turn, sag = load * length**2 / stiffness, load * length**3 / (2 * stiffness)
    assert slope == pytest.approx(turn, rel=1e-6)
    assert x == pytest.approx(length, rel=1e-6)
    assert -z == pytest.approx(sag, rel=1e-3)
