"""A driveline of hinged rigid bodies in MuJoCo, a general-purpose physics engine.

Output, crosses, shafts, spline and pinion form one tree; point constraints hold it in its center
bearings and on the pinion's axis.  It is assembled once, at ride height, with the output's pin
horizontal; every other posture is found by the engine from its own kinematics and constraints.
"""

from __future__ import annotations

import mujoco
import numpy as np
from numpy.typing import NDArray
from reference.mechanisms.crosses import assemble, pins_and_places, ride_ends

Array = NDArray[np.float64]

HEAD = """<mujoco><option gravity="0 0 0" integrator="RK4" jacobian="dense" cone="elliptic"
 timestep="{step}" iterations="200" tolerance="1e-14"/><compiler autolimits="false"/>
<default><equality solref="{soft} 1" solimp="0.9999 0.9999 0.001 0.5 2"/></default><worldbody>
<body name="axle" mocap="true" pos="{pinion}"/>"""
INERTIA = {"output": 5.0, "cross": 0.02, "shaft": 0.05, "slider": 0.03, "pinion": 0.05}
HOLD = 0.3  # the pinion is held in two points this far apart [m]


def words(vector: Array) -> str:
    """Return a vector as MJCF text without loss."""
    return " ".join(repr(float(v)) for v in vector)


def chain_mjcf(configuration, step: float) -> str:
    """Return the driveline at ride height as an MJCF model (single universal joints only)."""
    posture = assemble(configuration, ride_ends(configuration))
    phases = [shaft.phase for shaft in configuration.shafts]
    driving, driven, _ = pins_and_places(posture, phases, np.zeros(1))
    centers, axes, last = posture.centers, posture.axes, len(posture.centers) - 1
    text = [HEAD.format(step=repr(step), soft=repr(2 * step), pinion=words(centers[last]))]
    held, here = [], np.zeros(3)

    def body(name: str, place: Array, joint: str, axis: Array) -> None:
        nonlocal here
        kind = name.rstrip("0123456789")
        inertia = INERTIA[kind]
        text.append(
            f'<body name="{name}" pos="{words(place - here)}">'
            f'<inertial pos="0 0 0" mass="{10 * inertia}" '
            f'diaginertia="{inertia} {inertia} {inertia}"/>'
            f'<joint name="{name}" type="{joint}" axis="{words(axis)}"/>'
        )
        here = place

    place = configuration.spline.at
    body("output", centers[0], "hinge", axes[0])
    depth = 2 * len(centers) + 2
    if place == "output":
        body("slider", centers[0], "slide", axes[0])
    for joint, center in enumerate(centers):
        body(f"cross{joint}", center, "hinge", driving[0, joint])
        name = "pinion" if joint == last else f"shaft{joint + 1}"
        body(name, center, "hinge", driven[0, joint])
        if joint < len(configuration.bearings):
            anchor = configuration.bearings[joint].point - center
            held.append(f'<connect body1="{name}" anchor="{words(anchor)}"/>')
        if joint == last - (1 if place == "shaft" else 2) and place != "output":
            body("slider", center, "slide", axes[joint + 1])
    for anchor in (np.zeros(3), HOLD * axes[-1]):
        held.append(f'<connect body1="pinion" body2="axle" anchor="{words(anchor)}"/>')
    text += ["</body>"] * depth
    return "".join([*text, "</worldbody><equality>", *held, "</equality></mujoco>"])


class ChainWorld:
    """The driveline in the engine."""

    def __init__(self, configuration, step: float = 1e-4) -> None:
        """Build it at ride height."""
        self.model = mujoco.MjModel.from_xml_string(chain_mjcf(configuration, step))
        self.data = mujoco.MjData(self.model)
        posture = assemble(configuration, ride_ends(configuration))
        self.axes_at_ride = posture.axes
        shafts = [f"shaft{i + 1}" for i in range(len(configuration.shafts))]
        self.members = [self.model.body(n).id for n in ("output", *shafts, "pinion")]
        self.slide = int(self.model.joint("slider").qposadr[0])
        mujoco.mj_forward(self.model, self.data)

    def place_axle(self, pinion: Array, rotation: Array) -> None:
        """Move what holds the pinion: joint center, and rotation from ride height (3, 3)."""
        self.data.mocap_pos[0] = pinion
        mujoco.mju_mat2Quat(self.data.mocap_quat[0], np.ascontiguousarray(rotation).ravel())

    def drag_axle(self, pinion: Array, rotation_vector: Array, steps: int) -> None:
        """Move the axle from ride height in the engine's own time, starting and ending gently."""
        start, quat = self.data.mocap_pos[0].copy(), np.zeros(4)
        angle = float(np.linalg.norm(rotation_vector))
        around = rotation_vector / angle if angle else np.array([1.0, 0.0, 0.0])
        for t in np.linspace(0.0, 1.0, steps):
            share = t**3 * (10 - 15 * t + 6 * t * t)
            self.data.mocap_pos[0] = start + share * (pinion - start)
            mujoco.mju_axisAngle2Quat(quat, around, share * angle)
            self.data.mocap_quat[0] = quat
            mujoco.mj_step(self.model, self.data)

    def close(self, theta: float) -> None:
        """Set the output to theta and close all loops by Newton on the engine's constraints."""
        self.data.qpos[0] = theta
        for _ in range(12):
            jacobian, gap = self._constraints()
            move = np.linalg.lstsq(jacobian[:, 1:], -gap, rcond=1e-12)[0]
            self.data.qpos[1:] += move
            if np.abs(move).max() < 1e-14:
                break
        self._constraints()

    def turn(self, speed: float) -> None:
        """Give the output a speed [rad/s], and all else the velocities that keep it closed."""
        jacobian, _ = self._constraints()
        self.data.qvel[0] = speed
        self.data.qvel[1:] = np.linalg.lstsq(jacobian[:, 1:], -jacobian[:, 0] * speed, rcond=1e-12)[
            0
        ]
        mujoco.mj_forward(self.model, self.data)

    def gap(self) -> float:
        """Return the largest opening of a constraint [m]."""
        return float(np.abs(self._constraints()[1]).max())

    def axes(self) -> Array:
        """Return the axes of all members now (M, 3)."""
        turned = self.data.xmat[self.members].reshape(-1, 3, 3)
        return np.einsum("mij,mj->mi", turned, self.axes_at_ride)

    def spins(self) -> Array:
        """Return the speeds of all members about their own axes [rad/s] (M,)."""
        both = np.zeros(6)
        spins = []
        for member, axis in zip(self.members, self.axes(), strict=True):
            mujoco.mj_objectVelocity(
                self.model, self.data, mujoco.mjtObj.mjOBJ_XBODY, member, both, 0
            )
            spins.append(both[:3] @ axis)
        return np.array(spins)

    def slip(self) -> float:
        """Return the travel of the spline [m]."""
        return float(self.data.qpos[self.slide])

    def _constraints(self) -> tuple[Array, Array]:
        """Return the engine's constraint Jacobian and openings at the present positions."""
        mujoco.mj_fwdPosition(self.model, self.data)
        rows = self.data.nefc
        jacobian = self.data.efc_J.reshape(rows, self.model.nv)
        return jacobian.copy(), self.data.efc_pos[:rows].copy()
