"""An axle on side-view links against rods in MuJoCo, a general-purpose physics engine.

Every link is a body of its own, pinned at the frame and held to the axle by a point; the axle
floats in side view and one constraint sets its height.  The engine's solver does the rest.
"""

from __future__ import annotations

from dataclasses import replace

import mujoco
import numpy as np
import pytest
import samples

from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import Configuration, Links

STEP = 1e-3  # [s]
TRAVELS = np.array([-0.080, -0.040, 0.030, 0.070])

WORLD = """<mujoco><option gravity="0 0 0" integrator="RK4" timestep="{step}" tolerance="1e-14"
 iterations="200" jacobian="dense"/>
<default><equality solref="{soft} 1" solimp="0.9999 0.9999 0.001 0.5 2"/>
<joint damping="{damping}"/></default><worldbody>
<body name="axle" pos="{axle}"><inertial pos="0 0 0" mass="50" diaginertia="2 2 2"/>
<joint name="aft" type="slide" axis="1 0 0"/><joint name="up" type="slide" axis="0 0 1"/>
<joint name="tip" type="hinge" axis="0 1 0"/></body>{rods}</worldbody>
<equality><joint name="height" joint1="up" polycoef="0 0 0 0 0"/>{pins}</equality></mujoco>"""
ROD = """<body name="{name}" pos="{frame}"><inertial pos="0 0 0" mass="5" diaginertia=".5 .5 .5"/>
<joint type="hinge" axis="0 1 0"/></body>"""
PIN = '<connect body1="{name}" body2="axle" anchor="{anchor}"/>'


def text(vector: np.ndarray) -> str:
    return " ".join(repr(float(v)) for v in vector)


def rods_in_the_engine(links: Links, axle: np.ndarray) -> mujoco.MjModel:
    ends = {
        "lower": (links.lower_frame, links.lower_axle),
        "upper": (links.upper_frame, links.upper_axle),
    }
    rods = "".join(ROD.format(name=n, frame=text(frame)) for n, (frame, _) in ends.items())
    pins = "".join(PIN.format(name=n, anchor=text(b - a)) for n, (a, b) in ends.items())
    xml = WORLD.format(step=STEP, soft=2 * STEP, damping=20, axle=text(axle), rods=rods, pins=pins)
    return mujoco.MjModel.from_xml_string(xml)


def in_the_engine(configuration: Configuration, travel: float) -> tuple[float, float, float]:
    """Return how far the axle center went aft and up [m] and how far it tipped [rad]."""
    model = rods_in_the_engine(configuration.suspension, configuration.axle)
    data = mujoco.MjData(model)
    for share in np.linspace(0, 1, 1000):
        model.eq_data[0, 0] = share**2 * (3 - 2 * share) * travel
        mujoco.mj_step(model, data)
    for _ in range(1500):  # come to rest
        mujoco.mj_step(model, data)
    assert np.abs(data.qvel).max() < 1e-8
    aft, up, tip = data.qpos[:3]
    return float(aft), float(up), float(tip)


def state_of(travel: float) -> State:
    return State(
        height="",
        case="no torque",
        travel=float(travel),
        roll=0.0,
        wheel_torque=0.0,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    )


def in_solve(configuration: Configuration, travels) -> tuple[np.ndarray, np.ndarray]:
    """Return how far the axle center went aft [m] and how far it tipped [rad]."""
    states = [state_of(travel) for travel in travels]
    motion = solve(configuration, states=states, turn_angle=np.zeros(1))
    tip = np.arctan2(motion.axle_rotation[:, 0, 2], motion.axle_rotation[:, 0, 0])
    return motion.axle_center[:, 0] - configuration.axle[0], tip


@pytest.mark.parametrize("travel", TRAVELS)
def test_rods_put_the_axle_where_solve_does(travel):
    van = samples.links_van()
    aft, up, tip = in_the_engine(van, travel)
    got_aft, got_tip = in_solve(van, [travel])
    assert up == pytest.approx(travel, abs=1e-9)
    assert got_aft[0] == pytest.approx(aft, abs=1e-10)
    assert got_tip[0] == pytest.approx(tip, abs=1e-10)
    assert abs(tip) > 1e-3


def four_bar() -> Configuration:
    """Return an axle whose center is the rear pivot of its lower link."""
    van, axle = samples.links_van(), samples.place(3600, 0, 270)
    links = Links(
        lower_frame=samples.place(3000, 0, 300),
        lower_axle=axle,
        upper_frame=samples.place(3150, 0, 480),
        upper_axle=samples.place(3580, 0, 520),
        wind_up=1e5,
    )
    return replace(
        van,
        axle=axle,
        pinion=samples.pinion_from_axle(axle, 330, 30, 15, 2.5),
        suspension=links,
    )


def test_a_four_bar_tips_as_two_circles_meet():
    # Lower link (0, 0) to (600, -30), upper link (150, 180) to (580, 220) mm, lower rear pivot
    # raised 80 mm.  Source: intersection of two circles, written out here; the number
    # beside it was worked to 40 digits in mpmath.
    lower = np.hypot(600, 30)
    aft = np.sqrt(lower**2 - 50**2)  # -30 + 80 = 50 up
    coupler, upper = np.hypot(-20, 250), np.hypot(430, 40)
    apart = np.array([150 - aft, 180 - 50])
    distance = np.hypot(*apart)
    along = (coupler**2 - upper**2 + distance**2) / (2 * distance)
    ahead = apart / distance
    above = np.array([ahead[1], -ahead[0]])  # the meeting point aft of the line of centers
    way = along * ahead + np.sqrt(coupler**2 - along**2) * above
    turned = np.arctan2(way[1], way[0]) - np.arctan2(250, -20)  # counter-clockwise, x aft, z up
    assert np.rad2deg(turned) == pytest.approx(3.0798946179, abs=1e-9)
    got_aft, tip = in_solve(four_bar(), [0.080])
    # Counter-clockwise lowers what lies ahead: nose down.
    assert tip[0] == pytest.approx(-turned, abs=1e-12)
    assert got_aft[0] == pytest.approx((aft - 600) / 1000, abs=1e-12)


def test_the_four_bar_in_the_engine_tips_as_two_circles_meet():
    _, _, tip = in_the_engine(four_bar(), 0.080)
    assert np.rad2deg(tip) == pytest.approx(-3.0798946179, abs=1e-9)


def test_drive_turns_the_pinion_nose_up_by_the_given_stiffness():
    # By the definition of a stiffness: turn = torque / stiffness, and drive lifts the nose.
    van = samples.links_van()
    torque = 0.03 * van.suspension.wind_up
    loaded = [replace(state_of(travel), wheel_torque=torque) for travel in TRAVELS]
    _, parked = in_solve(van, TRAVELS)
    motion = solve(van, states=loaded, turn_angle=np.zeros(1))
    tip = np.arctan2(motion.axle_rotation[:, 0, 2], motion.axle_rotation[:, 0, 0])
    assert tip - parked == pytest.approx(0.03, abs=1e-12)
    nose = motion.joint_center[:, 0, -1, 2] - motion.axle_center[:, 2]
    level = solve(van, states=[state_of(t) for t in TRAVELS], turn_angle=np.zeros(1))
    assert (nose > level.joint_center[:, 0, -1, 2] - level.axle_center[:, 2]).all()
