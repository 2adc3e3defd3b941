"""How a center bearing's rubber gives way, and what follows: statics and lengths, worked here.

Sources: a coupling shaft is one rigid part from joint to joint; so what moves its front end along
moves its rear end and the bearing's inner ring alike.  Across, the rubber gives way by the mean
force over its stiffness: forces and moments of every shaft in balance, solved here as one set of
linear equations at every angle of a turn, with pins from perpendicular crosses.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import samples
from reference.mechanisms.crosses import (
    Ends,
    Posture,
    assemble,
    direction,
    pins_and_places,
    reference_lengths,
    ride_ends,
    speeds,
)

from sim.measure.bearing_load import BearingLoads, measure_bearing_loads
from sim.measure.couples import joint_moments
from sim.measure.sag import sags_of
from sim.motion.bearing_force import mean_moments
from sim.motion.frames import angle_between
from sim.motion.joints import kinds_of
from sim.motion.solve import solve
from sim.motion.states import State
from sim.motion.sweep import sweep_states
from sim.scene.parts import End, OutputSpline, TorqueCase
from sim.scene.reader import load_scene
from sim.world.agreement import Promise, compare_routes
from sim.world.simulate import simulate

MM, DEG = 1e-3, np.pi / 180
WHOLE = slice(0, 128)  # all turn angles of ``solve``
AFT = TorqueCase(name="hard launch", wheel_torque=0.0, output_move=(6 * MM, 0.0, 0.0))


def state(travel: float = 0.0, case: str = "hard launch", torque: float = 0.0) -> State:
    return State(
        height="",
        case=case,
        travel=travel,
        roll=0.0,
        wheel_torque=torque,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    )


def bearing_loads(motion) -> BearingLoads:
    return measure_bearing_loads(motion, joint_moments(motion, WHOLE), WHOLE, ride=0)


def in_line(**changes):
    """Return a driveline on one straight level line, its output pushed 6 mm aft."""
    ends = {
        "output": End(point=samples.place(1700, 0, 500), slope=0.0, plan=0.0),
        "pinion": End(point=samples.place(3600, 0, 500), slope=0.0, plan=0.0),
    }
    made = samples.two_piece(
        bearings=(samples.bearing(2400, 0, 500, 110),),
        suspension=None,
        travel=None,
        torque_cases=(TorqueCase(name="no torque"), AFT),
        **ends,
    )
    return samples.rigid(replace(made, **changes))


@pytest.mark.parametrize("place", ["midship", "shaft"])
def test_a_coupling_shaft_carries_the_push_of_the_output_on_to_the_spline(place):
    # By hand: all on one line, so 6 mm in front are 6 mm at joint 2, in the rubber and in the
    # spline behind.
    spline = replace(samples.two_piece().spline, at=place)
    still, pushed = (
        solve(in_line(spline=spline), states=[state(case=case)])
        for case in ("no torque", "hard launch")
    )
    moved = pushed.bearing_center - still.bearing_center
    np.testing.assert_allclose(moved[0, 0], [[6 * MM, 0, 0]], atol=1e-12)
    assert pushed.slip[0, 0] - still.slip[0, 0] == pytest.approx(-6 * MM, abs=1e-12)


def test_a_slip_yoke_on_the_output_takes_the_push_up():
    made = in_line(output_spline=OutputSpline(gap=20 * MM, engaged=60 * MM))
    pushed = solve(made, states=[state()])
    np.testing.assert_allclose(pushed.bearing_center[0, 0, 0], [2.4, 0, 0.5], atol=1e-12)
    assert pushed.slip[0, 0] == pytest.approx(0.0, abs=1e-12)
    assert pushed.output_slip[0, 0] == pytest.approx(-6 * MM, abs=1e-12)


def test_six_millimeters_at_the_output_are_six_less_of_gap_at_full_bump():
    # The front shaft points down by about 3 deg: 6 mm · cos 3 deg, and half a millimeter to spare.
    pushed = samples.two_piece(torque_cases=(TorqueCase(name="no torque"), AFT))
    slip = [solve(pushed, states=[state(0.095, case)]).slip for case in ("no torque", AFT.name)]
    assert (slip[1] - slip[0]).item() == pytest.approx(-6 * MM, abs=0.05 * MM)


@pytest.mark.parametrize("name", ["two_piece", "three_piece"])
def test_shafts_keep_their_lengths_in_every_torque_case_in_both_routes(name):
    # a length is a length: joint center to joint center, less what the spline slides
    made = getattr(samples, name)()
    made = replace(made, torque_cases=(TorqueCase(name="no torque"), AFT))
    states = [state(0.02, case) for case in ("no torque", AFT.name)]
    for motion in (solve(made, states=states), simulate(made, states=states)):
        length = np.linalg.norm(np.diff(motion.joint_center, axis=2), axis=-1)
        length[..., -2] -= motion.slip  # the stub is behind the last bearing
        assert np.ptp(length, axis=(0, 1)).max() < 0.01 * MM
        np.testing.assert_allclose(length[0, 0], motion.reference.length, atol=0.01 * MM)


def test_the_force_along_the_shaft_is_the_push_times_the_rubber():
    # By hand: 6 mm · 30 N/mm; nothing sideways on rubber that does not give way.
    states = [state(case=case) for case in ("no torque", "hard launch")]
    loads = bearing_loads(solve(in_line(), states=states))
    np.testing.assert_allclose(loads.along[:, 0] / MM, [0.0, 6.0], atol=1e-9)
    np.testing.assert_allclose(loads.axial[:, 0], [0.0, 180.0], atol=1e-6)
    np.testing.assert_allclose(loads.across[:, 0], 0.0, atol=1e-12)


# --- across the shaft ---------------------------------------------------------------------------

GRAVITY = 9.80665
TURN = np.linspace(0, 2 * np.pi, 96, endpoint=False)


def crossed(arm: np.ndarray) -> np.ndarray:
    """Return the matrix that turns a force into its moment on an arm."""
    x, y, z = arm
    return np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])


def on_bearing(posture: Posture, ahead: float, masses, moment: np.ndarray) -> np.ndarray:
    """Return the force of two shafts on their bearing, all in balance: one set of equations.

    Unknown: force of the output on shaft 1, of the bearing on shaft 1, of shaft 1 on shaft 2, and
    of the pinion on shaft 2.  The bearing holds across its shaft only, the spline not along it.
    """
    centers, one = posture.centers, posture.axes[1]
    down = np.array([0, 0, -GRAVITY])
    rows, known = np.zeros((16, 12)), np.zeros(16)
    output, bearing, joint, pinion = (slice(3 * k, 3 * k + 3) for k in range(4))
    eye = np.eye(3)
    # shaft 1: forces, then moments about joint 1
    rows[0:3, output], rows[0:3, bearing], rows[0:3, joint] = eye, eye, -eye
    known[0:3] = -masses[0] * down
    rows[3:6, bearing] = crossed(ahead * one)
    rows[3:6, joint] = -crossed(centers[1] - centers[0])
    middle = (centers[1] - centers[0]) / 2
    known[3:6] = -(moment[0] - moment[1]) - np.cross(middle, masses[0] * down)
    # shaft 2: forces, then moments about joint 2
    rows[6:9, joint], rows[6:9, pinion] = eye, eye
    known[6:9] = -masses[1] * down
    rows[9:12, pinion] = crossed(centers[2] - centers[1])
    middle = (centers[2] - centers[1]) / 2
    known[9:12] = -(moment[1] - moment[2]) - np.cross(middle, masses[1] * down)
    rows[12, bearing], rows[13, joint] = one, one
    found, *_ = np.linalg.lstsq(rows, known, rcond=None)
    np.testing.assert_allclose(rows @ found, known, atol=1e-8 * max(1.0, np.abs(known).max()))
    return -found[bearing]


def expected_shift(made, ends: Ends, torque: float) -> np.ndarray:
    """Return how far the bearing gives way [m], couples taken over a whole turn."""
    lengths = reference_lengths(made)
    ahead = lengths[0] - made.bearings[0].to_joint
    masses = [shaft.mass for shaft in made.shafts]
    phases = [shaft.phase for shaft in made.shafts]
    ride, posture = assemble(made, ride_ends(made)), assemble(made, ends, lengths)
    driving, driven, _ = pins_and_places(posture, phases, TURN)
    normal = np.cross(driving, driven)
    along = np.einsum("tji,ji->tj", normal, posture.axes[:-1])
    held = torque / speeds(posture, phases, TURN)[:, :-1]
    moments = (held / along)[..., None] * normal
    force = np.mean([on_bearing(posture, ahead, masses, m) for m in moments], axis=0)
    more = force - on_bearing(ride, ahead, masses, np.zeros((3, 3)))
    axis = posture.axes[1]
    return (more - (more @ axis) * axis) / made.bearings[0].radial


def ends_in(motion) -> Ends:
    """Return where output and pinion are: the pinion is part of the axle, a rigid body."""
    c, rotation = motion.configuration, motion.axle_rotation[0]
    return Ends(
        c.output.point,
        direction(c.output.slope, c.output.plan),
        motion.axle_center[0] + rotation @ (c.pinion.point - c.axle),
        rotation @ direction(c.pinion.slope, c.pinion.plan),
    )


@pytest.mark.parametrize("travel", [-0.08, 0.0, 0.06])
@pytest.mark.parametrize("torque", [6058.0, -2000.0, 0.0])
@pytest.mark.parametrize("phase", [0.0, 25.0])
def test_the_bearing_gives_way_by_the_mean_force_of_a_whole_turn(travel, torque, phase):
    shafts = (samples.shaft(88.9, phase=phase), samples.shaft(88.9, mass=9.0))
    made = samples.two_piece(shafts=shafts)
    motion = solve(made, states=[state(travel, "cruise", torque)])
    loss = 0.96 ** np.sign(torque)  # of the axle; common practice, no source
    expected = expected_shift(made, ends_in(motion), torque / 4.1 / loss)
    shift = motion.bearing_center[0, 0, 0] - made.bearings[0].point
    read = bearing_loads(motion).across[0, 0]
    assert read == pytest.approx(np.linalg.norm(expected), rel=0.01, abs=0.002 * MM)
    # Mean moments hold to the square of the angles ahead of a joint, 5 deg here: 1 %.
    np.testing.assert_allclose(shift[1:], expected[1:], rtol=0.01, atol=0.002 * MM)
    if torque > 0:
        assert np.linalg.norm(expected) > 0.5 * MM


def test_at_ride_height_without_torque_everything_is_where_it_was_read():
    made = samples.three_piece()
    motion = solve(made, states=[state(0.0, "no torque")])
    read = [bearing.point for bearing in made.bearings]
    np.testing.assert_allclose(motion.bearing_center[0, 0], read, rtol=0, atol=1e-14)


def test_rubber_half_as_stiff_gives_way_twice_as_far():
    made = samples.two_piece()
    soft = replace(made, bearings=(replace(made.bearings[0], radial=4e4),))
    shift = [
        solve(c, states=[state(0.0, "cruise", 6058.0)]).bearing_center[0, 0, 0, 1:]
        - made.bearings[0].point[1:]
        for c in (made, soft)
    ]
    np.testing.assert_allclose(shift[1], 2 * shift[0], rtol=1e-3)


@pytest.mark.parametrize("make", [samples.two_piece, samples.three_piece, samples.links_van])
def test_mean_moments_are_those_of_a_whole_turn(make):
    made = make()
    motion = solve(made, states=[state(0.03, "cruise", 3000.0)], turn_angle=None)
    motion = replace(motion, states=(replace(motion.states[0], shaft_torque=1000.0),))
    whole = joint_moments(motion, WHOLE).moment.mean(axis=1)
    mean = mean_moments(motion.axis[:, 0], kinds_of(made), np.array([1000.0]))
    np.testing.assert_allclose(mean[:, 0], whole[:, 0], rtol=0, atol=1e-9)
    across = np.linalg.norm(np.cross(whole, motion.axis[:, 0, 1:]), axis=-1).max()
    np.testing.assert_allclose(mean, whole, rtol=0, atol=max(0.02 * across, 1.0))


@pytest.mark.parametrize("kind", ["double cardan", "constant velocity", "flexible"])
def test_mean_moment_of_an_even_joint_is_steady(kind):
    # T tan(β/2) on both shafts: Seherr-Thoss et al., Universal Joints and Driveshafts (from memory)
    axis = np.array([[1.0, 0.0, 0.0], direction(12 * DEG, 0.0)])
    (moment,) = mean_moments(axis, [kind], np.array(500.0))
    assert moment @ axis.T == pytest.approx([500.0, 500.0])
    couples = np.linalg.norm(np.cross(moment, axis), axis=-1)
    assert couples == pytest.approx([500 * np.tan(6 * DEG)] * 2)


def test_both_routes_agree_where_soft_rubber_gives_way_by_millimeters():
    made = samples.two_piece()
    soft = replace(made, bearings=(replace(made.bearings[0], radial=3.2e4),))
    states = [state(travel, "cruise", 6058.0) for travel in (-0.08, 0.09)]
    motion = simulate(soft, states=states)
    moved = np.linalg.norm(
        motion.bearing_center.mean(axis=1)[:, 0] - soft.bearings[0].point, axis=-1
    )
    assert np.ptp(moved) > 1 * MM
    assert compare_routes(motion).keeps(Promise())


ORCHARD = [
    # N/mm, shift right and up [mm], joint angles [deg], fluctuation at the pinion [%], force on the
    # bearing twice per turn [N]
    ("two-piece", 1e9, (0.0, 0.0), (0.2579, 1.4766, 8.8318), 2.3960, 162.22),
    ("two-piece", 128, (-0.8240, 0.1880), (0.2521, 1.5794, 8.8266), 2.4033, 162.93),
    ("two-piece", 80, (-1.3184, 0.3009), (0.2589, 1.6424, 8.8235), 2.4078, 163.37),
    ("two-piece", 32, (-3.2969, 0.7532), (0.3478, 1.9022, 8.8123), 2.4275, 165.22),
    ("two-piece-wedged", 80, (-1.7119, 0.2940), (1.1201, 1.4750, 11.3379), 3.9973, 152.71),
    ("wrap held", 80, (0.4130, 0.2731), (0.2367, 3.3639, 1.0635), 0.3515, 111.87),
]
TRUCK = Path(__file__).parents[2] / "scenes/orchard_service_truck.toml"
REST, LAUNCH = "ride height, no torque", "ride height, hard launch"


def truck(name: str, rubber: float):
    """Return the orchard truck with rubber of so many N/mm."""
    held = ["suspension.wrap_control = 1700 N m/deg"] if name == "wrap held" else []
    made = load_scene(TRUCK, changes=held).configuration("two-piece" if held else name)
    return replace(made, bearings=(replace(made.bearings[0], radial=rubber * 1e3),))


@pytest.mark.parametrize(("name", "rubber", "shift", "angles", "swing", "second"), ORCHARD)
def test_the_orchard_truck_on_a_hard_launch(name, rubber, shift, angles, swing, second):
    # Worked apart from this program: couples of every cross summed over a turn, one step; and the
    # shift once more, by the equations above.
    made = truck(name, rubber)
    motion = solve(made, states=[s for s in sweep_states(made) if s.label == LAUNCH])
    moved = motion.bearing_center[0, 0, 0] - made.bearings[0].point
    np.testing.assert_allclose(moved[1:] / MM, shift, rtol=0, atol=0.003)
    ends, torque = ends_in(motion), motion.states[0].shaft_torque
    expected = expected_shift(made, ends, torque)
    np.testing.assert_allclose(moved[1:] / MM, expected[1:] / MM, rtol=0.01, atol=0.003)
    bend = angle_between(motion.axis[0, 0, :-1], motion.axis[0, 0, 1:]) / DEG
    np.testing.assert_allclose(bend, angles, rtol=0, atol=4e-4)
    assert 100 * np.ptp(motion.speed_ratio[0, :, -1]) == pytest.approx(swing, abs=2e-4)
    assert bearing_loads(motion).second[0, 0] == pytest.approx(second, abs=0.05)


PAPER = [  # rubber [N/mm], sag [mm], change at joint 1 [deg]: 118.3 N of weight over the rubber
    (128, 0.9, 0.08),
    (80, 1.5, 0.13),
    (32, 3.7, 0.33),
]


@pytest.mark.parametrize(("rubber", "sag", "turn"), PAPER)
def test_below_a_height_on_paper_the_shafts_sag_by_their_weight(rubber, sag, turn):
    read = truck("two-piece", rubber)
    bearing = read.bearings[0]
    paper = replace(read, bearings=(replace(bearing, planned=True),))
    # moments of two rigid shafts about joint 1, level as they nearly are: half of the rear one's
    # weight hangs on joint 2, the front one's at its middle
    one, two = (shaft.mass * GRAVITY for shaft in read.shafts)
    lengths = reference_lengths(read)
    weight = lengths[0] / (lengths[0] - bearing.to_joint) * (one / 2 + two / 2)
    assert weight == pytest.approx(118.3, abs=0.6)
    states = [s for s in sweep_states(read) if s.label in (REST, LAUNCH)]
    was, now = (solve(made, states=states) for made in (read, paper))
    moved = (now.bearing_center - was.bearing_center)[:, 0, 0]
    for row in moved:  # in every state, ride height included, and alike
        assert -row[2] == pytest.approx(weight / (rubber * 1e3), rel=0.01)
        assert -row[2] / MM == pytest.approx(sag, abs=0.05)
    bent = angle_between(now.axis[0, 0, 0], now.axis[0, 0, 1])
    straight = angle_between(was.axis[0, 0, 0], was.axis[0, 0, 1])
    assert (bent - straight) / DEG == pytest.approx(turn, abs=0.01)
    np.testing.assert_allclose(now.reference.length, lengths, rtol=0, atol=1e-12)
    (said,) = sags_of(read)
    assert (said.planned, sags_of(paper)[0].planned) == (False, True)
    assert said.down[0] == pytest.approx(-moved[0, 2], rel=1e-9)


def test_a_planned_height_keeps_its_lengths_and_both_routes_agree():
    made = samples.two_piece()
    made = replace(made, bearings=(replace(made.bearings[0], radial=3.2e4, planned=True),))
    motion = simulate(made, states=[state(0.0, "cruise", 6058.0), state(0.05, "cruise", 0.0)])
    assert compare_routes(motion).keeps(Promise())
