"""Joints that run even, and the double Cardan joint that does not quite, against the outside.

Two routes share no formula with the program: ``mechanisms/crosses.py`` turns two crosses by one
fact, that the pins of a cross stay square; and MuJoCo (a general-purpose physics engine) closes a
double joint whose ball and seat are parts of its two yokes, with the coupling yoke left free.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import mujoco
import numpy as np
import pytest
import samples
from chains import at_ride, chain, planar
from reference.mechanisms.crosses import Posture, direction, speeds
from scipy.spatial.transform import Rotation

from sim.measure.measure import measure
from sim.motion.joints import coupling_axis, front_share, pin_planes, turn
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.reader import load_scene

DEG = np.pi / 180
TURN = np.linspace(0.0, 2 * np.pi, 72, endpoint=False)
SCENES = Path(__file__).parents[2] / "scenes"


def bent(degrees: float, plane: float = 35.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return two axes so far apart, and the normal of their plane, all turned in space."""
    a, square = direction(6 * DEG, -3 * DEG), direction(96 * DEG, -3 * DEG)
    normal = Rotation.from_rotvec(plane * DEG * a).apply(square)
    return a, Rotation.from_rotvec(degrees * DEG * normal).apply(a), normal


def ratio_of(axes: np.ndarray, kind: str, share: float | None = None) -> np.ndarray:
    """Return our speed behind one joint over that ahead of it, over a turn."""
    planes = pin_planes(axes[None], (), (kind,), None if share is None else (share,))
    return turn(planes, TURN[None]).speed_ratio[0, :, 1]


def two_crosses(a: np.ndarray, c: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Return the speed behind two crosses, ears in line, by perpendicular pins alone."""
    posture = Posture(centers=np.zeros((2, 3)), axes=np.array([a, c, b]), slip=0.0)
    return speeds(posture, [0.0], TURN)[:, 2]


# Elbe Group, technical pages ch. 7: a double joint is truly uniform when both half angles are
# equal; its steering-axle joints are made for 30 to 35 deg.
@pytest.mark.parametrize("degrees", [1.0, 14.0, 30.0, 35.0])
def test_two_crosses_that_halve_the_angle_run_even(degrees):
    a, b, normal = bent(degrees)
    half = Rotation.from_rotvec(degrees / 2 * DEG * normal).apply(a)
    assert two_crosses(a, half, b) == pytest.approx(np.ones(72), abs=1e-9)
    assert ratio_of(np.array([a, b]), "double cardan") == pytest.approx(np.ones(72), abs=1e-14)
    assert ratio_of(np.array([a, b]), "double cardan", 0.5 + 1e-13) == pytest.approx(
        np.ones(72), abs=1e-12
    )


# The name says it: constant velocity.  47, 26 and 22 deg: usual largest angles of a fixed ball
# joint, a tripod and a cross-groove joint (from memory); 3 deg: a flexible coupling.
@pytest.mark.parametrize(
    ("kind", "degrees"),
    [
        ("constant velocity", 47.0),
        ("constant velocity", 26.0),
        ("constant velocity", 22.0),
        ("flexible", 3.0),
    ],
)
def test_joints_of_constant_velocity_run_even(kind, degrees):
    a, b, _ = bent(degrees)
    assert ratio_of(np.array([a, b]), kind) == pytest.approx(np.ones(72), abs=1e-14)


@pytest.mark.parametrize("degrees", [5.0, 14.0, 25.0])
@pytest.mark.parametrize(("error", "at"), [(0.5, 15.0), (-1.0, 15.0), (2.0, 10.0)])
def test_an_error_of_the_halving_ripples_as_two_crosses_do(degrees, error, at):
    joint = replace(
        samples.joint("double cardan"), halving_error=error * DEG, halving_error_at=at * DEG
    )
    a, b, normal = bent(degrees)
    lean = degrees / 2 + error * degrees / at  # the error grows with the angle
    yoke = Rotation.from_rotvec(lean * DEG * normal).apply(a)
    share = front_share(joint)
    assert coupling_axis(a, b, share) == pytest.approx(yoke, abs=1e-14)
    ours = ratio_of(np.array([a, b]), "double cardan", share)
    assert ours == pytest.approx(two_crosses(a, yoke, b), abs=1e-9)
    assert np.ptp(ours) > 1e-5


# Two joints in one plane with their yokes in line act as one of the angle γ, cos γ = cos β1 / cos
# β2: the speed swings between cos γ and 1 / cos γ (Mabie and Reinholtz, Mechanisms and Dynamics of
# Machinery, from memory).
def test_the_swing_is_that_of_one_joint_of_the_angle_that_is_left():
    a, b, _ = bent(15.0)
    left = np.cos(8.0 * DEG) / np.cos(7.0 * DEG)
    fine = turn(
        pin_planes(np.array([a, b])[None], (), ("double cardan",), (0.5 + 0.5 / 15,)),
        np.linspace(0, np.pi, 3601)[None],
    ).speed_ratio[0, :, 1]
    assert fine.max() == pytest.approx(1 / left, abs=1e-7)
    assert fine.min() == pytest.approx(left, abs=1e-7)


def test_the_front_cross_bends_more_where_the_error_is_positive():
    a, b, _ = bent(12.0)
    yoke = coupling_axis(a, b, 0.5 + 1 / 12)
    bends = [
        np.degrees(np.arctan2(np.linalg.norm(np.cross(p, q)), p @ q))
        for p, q in ((a, yoke), (yoke, b))
    ]
    assert bends == pytest.approx([7.0, 5.0], abs=1e-9)


class BallAndSeat:
    """A double joint in MuJoCo: a ball on the front yoke, a seat in the rear one, both fixed.

    The coupling yoke is free; ball and seat and the far end of the shaft say where it points.
    """

    def __init__(self, degrees: float, front: float, rear: float, between: float) -> None:
        """Take the distances of ball and seat from their crosses, and of the crosses [m]."""
        far = rear + 0.5
        hinge = (
            '<inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/><joint type="hinge" axis="{}"/>'
        )
        self.model = mujoco.MjModel.from_xml_string(
            '<mujoco><option jacobian="dense"/><worldbody>'
            f"<body name='output'>{hinge.format('1 0 0')}<site name='ball' pos='{front} 0 0'/>"
            f"<body>{hinge.format('0 1 0')}<body>{hinge.format('0 0 1')}"
            f"<body pos='{between} 0 0'>{hinge.format('0 0 1')}"
            f"<body name='shaft'>{hinge.format('0 1 0')}<site name='seat' pos='{rear} 0 0'/>"
            f"<site name='end' pos='{far} 0 0'/></body></body></body></body></body>"
            "</worldbody></mujoco>"
        )
        self.data = mujoco.MjData(self.model)
        self.axis = np.array([np.cos(degrees * DEG), np.sin(degrees * DEG), 0.0])
        self.end = np.array([front, 0, 0]) + 0.5 * self.axis
        self.data.qpos[:] = [0, 0, degrees / 2 * DEG, degrees / 2 * DEG, 0]

    def speed(self, theta: float) -> float:
        """Return the speed of the shaft over the output's, the loops closed at that angle."""
        self.data.qpos[0] = theta
        for _ in range(30):
            jacobian, gap = self._loops()
            self.data.qpos[1:] -= np.linalg.lstsq(jacobian[:, 1:], gap, rcond=1e-10)[0]
        jacobian, gap = self._loops()
        assert np.abs(gap).max() < 1e-12
        rates = np.linalg.lstsq(jacobian[:, 1:], -jacobian[:, 0], rcond=1e-10)[0]
        turns = np.zeros((3, 5))
        mujoco.mj_jacBody(self.model, self.data, None, turns, self.model.body("shaft").id)
        return float(self.axis @ turns @ np.concatenate([[1.0], rates]))

    def _loops(self) -> tuple[np.ndarray, np.ndarray]:
        """Return how far seat and end are from where they belong, and how that changes."""
        mujoco.mj_kinematics(self.model, self.data)
        mujoco.mj_comPos(self.model, self.data)
        place, slopes = {}, {}
        for name in ("ball", "seat", "end"):
            site = self.model.site(name).id
            slopes[name] = np.zeros((3, 5))
            mujoco.mj_jacSite(self.model, self.data, slopes[name], None, site)
            place[name] = self.data.site_xpos[site].copy()
        gap = np.concatenate([place["seat"] - place["ball"], place["end"] - self.end])
        return np.concatenate([slopes["seat"] - slopes["ball"], slopes["end"]]), gap


# Sites stand at the seat: -x of the rear cross would be behind it, so the seat has a minus.
@pytest.mark.parametrize(
    ("degrees", "share"), [(14.0, 0.5), (25.0, 0.5), (14.0, 0.54), (20.0, 0.47)]
)
def test_a_ball_and_seat_in_a_physics_engine_halve_as_we_say(degrees, share):
    d = 0.075
    front, rear = (
        d * np.sin(part * degrees * DEG) / np.sin(degrees * DEG) for part in (1 - share, share)
    )
    joint = BallAndSeat(degrees, front, -rear, d)
    theirs = [joint.speed(theta) for theta in TURN[::6]]
    axes = np.array([[1.0, 0, 0], joint.axis])
    # the output's pin lies along y at θ = 0, as in the engine's model
    ours = ratio_of(axes, "double cardan", share)[::6]
    assert ours == pytest.approx(theirs, abs=1e-10)
    assert (np.ptp(ours) > 1e-4) == (share != 0.5)


# Set-up with a double Cardan joint at the transfer case: tip the pinion up to point at it, and
# the far joint works at nearly no angle (4crawler.com).  Left parallel to the output instead, as
# for two plain joints, nothing cancels it: sin β tan β (Dana, Industrial Drive Shafts Catalogue).
def test_a_pinion_that_points_at_the_double_joint_straightens_the_far_one():
    axes = np.array([direction(3 * DEG, 0), direction(13 * DEG, 0), direction(13 * DEG, 0)])
    aimed = even_first(axes)
    assert np.degrees(aimed.joint_angle[0]) == pytest.approx([10.0, 0.0], abs=1e-6)
    assert aimed.fluctuation[0, -1] < 1e-12
    axes[-1] = axes[0]
    parallel = even_first(axes)
    assert np.degrees(parallel.joint_angle[0]) == pytest.approx([10.0, 10.0])
    # 0.0306188589: sin 10° tan 10°
    assert parallel.fluctuation[0, -1] == pytest.approx(0.0306188589, abs=1e-6)


def even_first(axes):
    made = chain(axes)
    joints = (samples.joint("double cardan"), samples.joint())
    made = replace(made, joints=joints)
    return measure(solve(made, states=[at_ride(made)]))


# Jeep JK 2007 service manual: a single-joint system below 1.5 deg, a constant velocity joint
# below 10 deg.
def test_the_shipped_lifted_truck_keeps_the_published_set_up_at_ride_and_under_cruise():
    truck = load_scene(SCENES / "trail_ambulance.toml").configuration("double-cardan-and-bar")
    states = [s for s in sweep_states(truck) if s.height == "ride height" and not s.roll]
    chosen = [s for s in states if s.case in ("no torque", "cruise")]
    assert len(chosen) == 2
    double, single = np.degrees(measure(solve(truck, states=chosen)).joint_angle).T
    assert (double < 10.0).all()
    assert (single < 1.5).all()


def test_without_the_bar_torque_turns_the_pinion_away_from_the_double_joint():
    scene = load_scene(SCENES / "trail_ambulance.toml")
    found = []
    for name in ("double-cardan", "double-cardan-and-bar"):
        truck = scene.configuration(name)
        states = [
            s
            for s in sweep_states(truck)
            if s.height == "ride height" and not s.roll and s.case == "hard launch"
        ]
        found.append(float(np.degrees(measure(solve(truck, states=states)).joint_angle[0, 1])))
    loose, held = found
    assert loose > 10.0  # beyond any published angle for a single joint
    assert held < 4.0


# Pythagoras: a pinion raised by h square to a shaft of length L draws the joint apart by
# sqrt(L² + h²) − L.
def test_a_plunging_joint_takes_up_the_length_that_the_axle_asks_for():
    joints = (
        samples.joint("constant velocity"),
        replace(samples.joint("constant velocity"), plunge=0.04, plunge_in=0.02),
    )
    made = chain(planar(0.0, 0.0))
    spline = replace(made.spline, gap=0.02, engaged=0.02, least_engaged=0.0)
    made = replace(made, joints=joints, spline=spline)
    raised = replace(
        made, cut_as=made, pinion=replace(made.pinion, point=np.array([1.0, 0.0, 0.12]))
    )
    found = measure(solve(raised, states=[at_ride(raised)]))
    grown = np.hypot(1.0, 0.12) - 1.0
    assert found.slip[0] == pytest.approx(grown, abs=1e-12)
    assert found.gap[0] == pytest.approx(0.02 + grown, abs=1e-12)
    assert found.engaged[0] == pytest.approx(0.02 - grown, abs=1e-12)
