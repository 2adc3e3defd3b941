"""Couples at the joints and the load of the center bearing against published extremes and engines.

Klein: Eugen Klein GmbH, Bearing Forces and Bending Moments.  Elbe: Elbe Group, technical pages,
ch. 2.  GWB: Spicer GWB, Driveshafts for Industrial Applications, p. 47.
"""

from __future__ import annotations

from dataclasses import replace

import mujoco
import numpy as np
import pytest
import samples
from chains import DEG, at_ride, chain, planar, twisted
from reference.mechanisms.bodies import ChainWorld

from sim.measure.bearing_load import forces_over_a_turn, measure_bearing_loads, one_joint_peak
from sim.measure.couples import across, joint_moments
from sim.measure.loads import FRICTION, spline_friction
from sim.measure.measure import measure
from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import Configuration

GRAVITY = 9.80665  # standard gravity, exact (ISO 80000-3)
EVERY = slice(None)
HALF_TURN = np.linspace(0.0, np.pi, 64, endpoint=False)


def loaded(configuration: Configuration, torque: float, angles: np.ndarray) -> Motion:
    """Return a chain at ride height with a torque in the shaft [N m], at angles of its output."""
    state = replace(at_ride(configuration), shaft_torque=torque)
    return solve(configuration, states=[state], turn_angle=angles)


# --- one joint ------------------------------------------------------------------------------

# M1 = 500 N m, 7 deg.  Klein prints the extremes M1 cos β, M1/cos β, M1 sin β, M1 tan β; at 45 deg
# and the steady part: derived from the same statics.  phi 0: driving yoke in the plane of the
# shafts, which for a chain bent in top view is the pin horizontal.
KLEIN = [
    ("driven torque", 0, 496.2730758207),
    ("driven torque", 90, 503.7549127294),
    ("on driven shaft", 0, 60.9346717026),
    ("on driven shaft", 90, 0.0),
    ("on driving shaft", 0, 0.0),
    ("on driving shaft", 90, 61.3922804515),
    ("on driving shaft", 45, 43.4108978197),
    ("on driven shaft", 45, 43.2494113097),
]


@pytest.mark.parametrize(("what", "phi", "expected"), KLEIN)
def test_torque_and_couples_of_one_joint_are_as_published(what, phi, expected):
    motion = loaded(chain(planar(7, 7)), 500.0, np.array([phi * DEG]))
    moments = joint_moments(motion, EVERY)
    found = {
        "driven torque": moments.torque[0, 0, 1],
        "on driving shaft": moments.on_driving[0, 0, 0],
        "on driven shaft": moments.on_driven[0, 0, 0],
    }
    assert found[what] == pytest.approx(expected, abs=1e-6)


def test_half_of_the_driving_couple_is_steady():
    # In the plane of the shafts: (M1 tan β/2)(1 − cos 2 phi), derived; 30.69614022573 N m.
    moments = joint_moments(loaded(chain(planar(7, 7)), 500.0, HALF_TURN), EVERY)
    mean = across(moments.moment.mean(axis=1), moments.axis[:, 0, :-1])
    assert mean[0, 0] == pytest.approx(30.69614022573, abs=1e-9)


@pytest.mark.parametrize("kind", ["constant velocity", "flexible"])
def test_an_even_joint_passes_its_moment_along_the_line_that_halves_its_angle(kind):
    # T tan(β/2) on both shafts, steady: Seherr-Thoss et al., Universal Joints and Driveshafts
    # (from memory).  500 tan 3.5 deg = 30.5813 N m.
    configuration = chain(planar(7, 2))
    joints = (replace(configuration.joints[0], kind=kind), configuration.joints[1])
    motion = loaded(replace(configuration, joints=joints), 500.0, HALF_TURN)
    moments = joint_moments(motion, EVERY)
    for couple in (moments.on_driving, moments.on_driven):
        np.testing.assert_allclose(couple[0, :, 0], 30.58131, atol=1e-4)


def cross_in_balance(a, u, v, torque: float) -> np.ndarray:
    """Return the moment that a cross passes on, from the forces at its four trunnions.

    Unknown: at each end of a pin a force across that pin.  Known: forces and moments on the cross
    vanish, and the driving yoke's forces make the torque about its axis.
    """
    columns = []
    for pin, end in ((u, 1.0), (u, -1.0), (v, 1.0), (v, -1.0)):
        for way in np.linalg.svd(pin[None])[2][1:]:  # two directions across the pin
            moment = end * np.cross(pin, way)
            turning = moment @ a if pin is u else 0.0
            columns.append(np.concatenate([way, moment, [turning]]))
    wanted = np.concatenate([np.zeros(6), [torque]])
    forces = np.linalg.lstsq(np.array(columns).T, wanted, rcond=None)[0]
    np.testing.assert_allclose(np.array(columns).T @ forces, wanted, atol=1e-9 * torque)
    return np.array(columns).T[3:6, :4] @ forces[:4]  # what the driving yoke puts on the cross


@pytest.mark.parametrize("angle", [2.0, 8.0, 20.0, 35.0])
@pytest.mark.parametrize("phi", [10.0, 77.0, 145.0])
def test_a_joint_passes_the_moment_that_holds_its_cross_in_balance(angle, phi):
    motion = loaded(chain(twisted(angle, 5.0, 40.0)), 800.0, np.array([phi * DEG]))
    moments = joint_moments(motion, EVERY)
    for joint in (0, 1):
        expected = cross_in_balance(
            motion.axis[0, 0, joint],
            motion.driving_pin[0, 0, joint],
            motion.driven_pin[0, 0, joint],
            moments.torque[0, 0, joint],
        )
        np.testing.assert_allclose(moments.moment[0, 0, joint], expected, rtol=0, atol=1e-7)


@pytest.mark.parametrize("make", [samples.one_piece, samples.two_piece, samples.three_piece])
def test_power_in_is_power_out_at_every_angle(make):
    # Elbe: a joint without losses, M2 ω2 = M1 ω1.  Torque behind each joint from its moment alone.
    motion = solve(make())
    moments = joint_moments(motion, EVERY)
    behind = np.einsum("stji,skji->stj", moments.moment, motion.axis[:, :, 1:])
    power = behind * motion.speed_ratio[:, :, 1:]
    steady = np.array([state.shaft_torque for state in motion.states])[:, None, None]
    np.testing.assert_allclose(power, np.broadcast_to(steady, power.shape), rtol=0, atol=1e-8)
    assert np.abs(steady).max() > 1000


# --- the center bearing -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "expected"),
    [(1.0, 58.3257756839), (0.5, 29.1628878420)],  # peak and steady part; statics, derived
)
def test_one_joint_behind_a_bearing_by_the_beam_formula(share, expected):
    peak = one_joint_peak(np.array(400.0), np.array(5 * DEG), np.array(0.6))
    assert share * peak == pytest.approx(expected, abs=1e-9)


def test_the_full_balance_agrees_where_equal_parallel_joints_cancel_their_couples():
    # Front joint straight, 5 and 5 deg to and fro: the rear shaft needs no sideways force, and
    # only joint 2 loads the bearing, 0.9 m behind joint 1: half steady, half twice per turn.
    motion = loaded(chain(planar(0, 5, 5)), 400.0, HALF_TURN)
    loads = measure_bearing_loads(motion, joint_moments(motion, EVERY), EVERY, ride=0)
    half = 400 * np.tan(5 * DEG) / (2 * 0.9)
    assert np.linalg.norm(loads.steady[0, 0]) == pytest.approx(half, rel=1e-9)
    assert loads.second[0, 0] == pytest.approx(half, rel=1e-9)
    assert loads.peak[0, 0] == pytest.approx(2 * half, rel=2e-3)
    assert loads.one_joint[0, 0] == pytest.approx(2 * half, rel=1e-9)


def test_the_one_joint_formula_misses_what_unequal_joints_do():
    motion = loaded(chain(planar(0, 2, 8)), 400.0, HALF_TURN)
    loads = measure_bearing_loads(motion, joint_moments(motion, EVERY), EVERY, ride=0)
    assert loads.peak[0, 0] > 3 * loads.one_joint[0, 0]


def test_a_straight_chain_without_torque_bears_its_weight_as_a_beam_does():
    # Two shafts of 12 and 8 kg, 1 m each, bearing at 0.9 m: (12 · 0.5 + 4 · 1)/0.9 kg hang on it.
    configuration = chain(planar(0, 0, 0))
    first, second = configuration.shafts
    configuration = replace(
        configuration, shafts=(replace(first, mass=12.0), replace(second, mass=8.0))
    )
    motion = loaded(configuration, 0.0, HALF_TURN)
    loads = measure_bearing_loads(motion, joint_moments(motion, EVERY), EVERY, ride=0)
    assert loads.weight[0, 0] == pytest.approx((12 * 0.5 + 4 * 1.0) / 0.9 * GRAVITY, rel=1e-9)
    assert loads.largest[0, 0] == pytest.approx(loads.weight[0, 0], rel=1e-12)


@pytest.mark.parametrize("skew", [0.0, 6.0, -4.0])
def test_a_skewed_bracket_stands_off_its_shaft_by_the_skew(skew):
    configuration = chain(planar(0, 3, 3))
    bearing = replace(configuration.bearings[0], skew=skew * DEG)
    motion = loaded(replace(configuration, bearings=(bearing,)), 0.0, HALF_TURN)
    loads = measure_bearing_loads(motion, joint_moments(motion, EVERY), EVERY, ride=0)
    assert np.rad2deg(loads.tilt[0, 0]) == pytest.approx(abs(skew), abs=1e-9)


def test_a_shaft_tips_in_its_bracket_by_what_the_output_moves():
    # Output 10 mm up, bearing 651 mm behind it: 0.88 deg by the tangent; skew adds to it.
    made = samples.rigid(samples.two_piece())
    cases = (made.torque_cases[0], replace(made.torque_cases[2], output_move=(0.0, 0.0, 0.010)))
    bearing = replace(made.bearings[0], skew=2 * DEG)
    motion = solve(replace(made, torque_cases=cases, bearings=(bearing,)))
    ride = next(k for k, s in enumerate(motion.states) if s.height == "ride height")
    loads = measure_bearing_loads(motion, joint_moments(motion, EVERY), EVERY, ride)
    away = made.bearings[0].point - made.output.point
    tips = np.arctan2(away[2], away[0]) - np.arctan2(away[2] - 0.010, away[0])
    state = next(k for k, s in enumerate(motion.states) if s.case == "hard launch")
    assert np.rad2deg(tips) == pytest.approx(0.88, abs=0.01)
    assert loads.tilt[state, 0] == pytest.approx(2 * DEG + tips, abs=1e-9)
    assert loads.tilt[ride, 0] == pytest.approx(2 * DEG, abs=1e-9)


@pytest.mark.parametrize("make", [samples.two_piece, samples.three_piece])
def test_the_twice_per_turn_part_is_what_a_fourier_transform_finds(make):
    # numpy's FFT of every direction, its second harmonic put together again; largest length.
    motion = solve(make())
    moments = joint_moments(motion, EVERY)
    spectrum = np.fft.rfft(forces_over_a_turn(motion, moments, EVERY)[0], axis=1)
    only = np.zeros_like(spectrum)
    only[:, 2] = spectrum[:, 2]
    wave = np.fft.irfft(
        np.concatenate([only, np.zeros((len(only), 960, *only.shape[2:]))], 1), axis=1
    )
    wave *= wave.shape[1] / motion.turn_angle.shape[1]
    loads = measure_bearing_loads(motion, moments, EVERY, ride=0)
    np.testing.assert_allclose(loads.second, np.linalg.norm(wave, axis=-1).max(1), rtol=1e-4)


def test_the_couples_measured_reach_kleins_extremes_in_every_state():
    # Klein: T tan β on the driving shaft, T sin β on the driven one; sampled in 5.6 deg steps.
    m = measure(solve(samples.two_piece()))
    torque, angle = np.array([s.shaft_torque for s in m.states]), m.joint_angle[:, 0]
    largest = np.abs(torque) * np.tan(angle)
    np.testing.assert_allclose(m.loads.driving_couple[:, 0], largest, rtol=5e-3, atol=1e-9)
    np.testing.assert_allclose(
        m.loads.driven_couple[:, 0], np.abs(torque) * np.sin(angle), rtol=5e-3, atol=1e-9
    )


@pytest.mark.parametrize("samples_per_turn", [32, 128, 256])
def test_the_load_measured_is_that_of_a_whole_turn(samples_per_turn):
    angles = 2 * np.pi * np.arange(samples_per_turn) / samples_per_turn
    motion = solve(samples.two_piece(), turn_angle=angles)
    found = measure(motion).loads.bearing
    whole = measure_bearing_loads(motion, joint_moments(motion, EVERY), EVERY, ride=0)
    np.testing.assert_allclose(found.steady, whole.steady, rtol=0, atol=1e-6)
    np.testing.assert_allclose(found.second, whole.second, rtol=0, atol=1e-6)


def test_the_unbalance_measured_has_the_lever_of_the_overhang():
    # Two shafts of 12 kg, 1 m, bearing at 0.9 m; G16 at top speed 155 km/h, turning at 100 rad/s.
    configuration = chain(planar(0, 3, 3))
    m = measure(loaded(configuration, 0.0, np.linspace(0, 2 * np.pi, 64, endpoint=False)))
    top = 155 / 3.6 / 2.545 * 4.1 * 2 * np.pi
    expected = 0.016 * 12 / top * 100**2 / 0.9
    assert m.loads.unbalance[0, 0, 0] == pytest.approx(expected, rel=1e-9)


# --- against MuJoCo -----------------------------------------------------------------------------
# The engine knows hinges, points that are held, and what is pushed: output torque, the pinion's
# resistance, weights at mid shaft.  Its own solver finds the forces that hold the points.

CHAINS = {
    "two pieces": (samples.two_piece, "midship", (10.0, -5.0)),
    "two pieces, spline in the shaft": (samples.two_piece, "shaft", (0.0, 0.0)),
    "three pieces": (samples.three_piece, "midship", (0.0, 10.0, -5.0)),
}
WHERE = {"droop": (-0.1, 0.0), "rolled": (0.06, 3 * DEG), "ride": (0.0, 0.0)}
TORQUE = 1500.0
SLOW = 0.01  # [rad/s]


def clocked(which: str) -> Configuration:
    make, at, phases = CHAINS[which]
    made = samples.rigid(make())
    shafts = tuple(
        replace(shaft, phase=phase * DEG, mass=mass)
        for shaft, phase, mass in zip(made.shafts, phases, (11.0, 13.0, 9.0), strict=False)
    )
    return replace(made, shafts=shafts, spline=replace(made.spline, at=at))


def engine_bearings(world: ChainWorld, motion: Motion, turn: int, loads: np.ndarray) -> np.ndarray:
    """Return the forces on the bearings by the engine, with its bodies turning slowly (B, 3)."""
    model, data = world.model, world.data
    world.close(float(motion.turn_angle[0, turn]))
    world.turn(SLOW)
    pushed = np.zeros(model.nv)
    shafts = len(motion.configuration.shafts)
    pinion, output = model.body("pinion").id, model.body("output").id
    axes, nothing = motion.axis[0, 0], np.zeros(3)
    for body, axis, torque in (
        (output, axes[0], TORQUE * loads[0]),
        (pinion, axes[-1], -TORQUE * loads[0] / motion.speed_ratio[0, turn, -1]),
    ):
        place = data.xpos[body].copy()
        mujoco.mj_applyFT(model, data, nothing, torque * axis, place, body, pushed)
    middle = (motion.joint_center[0, 0, 1:] + motion.joint_center[0, 0, :-1]) / 2
    for number in range(shafts):
        weight = np.array([0.0, 0.0, -GRAVITY * motion.configuration.shafts[number].mass])
        # A shaft with the spline inside hangs on its rear half, along its axis, as in the program.
        split = number == shafts - 1 and motion.configuration.spline.at == "shaft"
        body = model.body("slider" if split else f"shaft{number + 1}").id
        mujoco.mj_applyFT(model, data, loads[1] * weight, nothing, middle[number], body, pushed)
    data.qfrc_applied[:] = pushed
    mujoco.mj_forward(model, data)
    held = 3 * len(motion.configuration.bearings)
    return -data.efc_force[:held].reshape(-1, 3).copy()  # rows of the bearings come first


def radial(force: np.ndarray, axes: np.ndarray) -> np.ndarray:
    return force - np.sum(force * axes, axis=-1, keepdims=True) * axes


@pytest.mark.parametrize("which", CHAINS)
@pytest.mark.parametrize("where", WHERE)
@pytest.mark.parametrize("loads", [(1.0, 0.0), (0.0, 1.0)], ids=["torque", "weight"])
def test_the_bearing_feels_what_an_engine_needs_to_hold_it(which, where, loads):
    configuration, (travel, roll) = clocked(which), WHERE[where]
    state = State(
        height="", case="no torque", travel=travel, roll=roll, wheel_torque=0.0,
        shaft_torque=TORQUE, turning=True, road_speed=1.0,
    )  # fmt: skip
    angles = np.linspace(0.0, 2 * np.pi, 7)
    motion = solve(configuration, states=(state,), turn_angle=angles)
    mine = forces_over_a_turn(motion, joint_moments(motion, EVERY), EVERY)
    force = loads[0] * mine[0][0] + loads[1] * mine[1][0]
    world = ChainWorld(configuration)
    world.place_axle(motion.joint_center[0, 0, -1], motion.axle_rotation[0])
    carried = motion.axis[0, 0, 1 : 1 + len(configuration.bearings)]
    for turn in range(len(angles)):
        engine = radial(engine_bearings(world, motion, turn, np.array(loads)), carried)
        # The engine's constraints give a little.  With three pieces it also shares what lies along
        # the shafts between output and bearings, which only their rubber decides.
        share = 1e-4 if len(carried) == 1 else 1e-3
        np.testing.assert_allclose(force[turn], engine, rtol=0, atol=share * np.abs(engine).max())


# --- the spline -----------------------------------------------------------------------------


def test_spline_friction_is_as_the_maker_says():
    # GWB: F = T μ cos β/r_m; 1000 N m, 0.11, 5 deg, r_m 20 mm.
    force = spline_friction(1000.0, 0.11, 5 * DEG, 0.040)
    assert force == pytest.approx(5479.0708395046, abs=1e-6)


@pytest.mark.parametrize(
    ("coating", "friction"), [("plastic coated", 0.08), ("greased steel", 0.11)]
)
def test_friction_coefficients_are_as_published(coating, friction):
    assert FRICTION[coating] == friction  # GWB p. 47; Dana industrial catalogue 003


def test_the_spline_of_a_scene_holds_by_its_own_diameter_torque_and_joint():
    made = samples.two_piece()
    without = measure(solve(made))
    assert without.loads.spline is None
    found = measure(solve(replace(made, spline=replace(made.spline, diameter=0.040))))
    state = next(k for k, s in enumerate(found.states) if s.case == "engine braking")
    torque = abs(found.states[state].shaft_torque)
    expected = torque * 0.11 * np.cos(found.joint_angle[state, 1]) / 0.020
    assert found.loads.spline[state] == pytest.approx(expected, rel=1e-12)
