"""What the engine's bodies say, and the motion read from it.

Axes and pins come from the bodies' orientations, joint centers from their places, slip from the
slider.  Speeds come from the angles: the angle that a member has turned is, less its mean, a
periodic function of the output angle and smooth, so its discrete Fourier series gives the
derivative exactly, free of the half step by which the engine's speeds lag behind its places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from sim.motion.frames import unit
from sim.motion.joints import HALF, shares_of
from sim.motion.motion import Motion, Reference
from sim.scene.parts import Configuration
from sim.world.build import ARM, Driveline
from sim.world.engine import Engine
from sim.world.tree import output_frame

Array = NDArray[np.float64]
Row = tuple[Any, ...]


def read(world: Engine, driveline: Driveline) -> Row:
    """Return the engine's own states of all bodies that are looked at, as it gives them.

    Args:
        world: The engine.
        driveline: The driveline that stands in it.

    Returns:
        Link states of members and joints, position of the slider and of the output slider.
    """
    links = driveline.members + driveline.joints
    bodies = world.getLinkStates(driveline.body, links, computeForwardKinematics=1)
    slip = world.getJointState(driveline.body, driveline.slider)[0]
    if driveline.output_slider is None:
        return bodies, slip, 0.0
    return bodies, slip, world.getJointState(driveline.body, driveline.output_slider)[0]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """One turn at one state: T angles, and the first angle of the next turn.

    Attributes:
        place: Places of members, then joints [m], shape (T + 1, M + J, 3).
        frame: Their orientations, columns X Y Z, shape (T + 1, M + J, 3, 3).
        slip: Position of the spline that follows the axle [m], shape (T + 1,).
        output_slip: Position of the slip yoke ahead of a bearing [m], shape (T + 1,).
    """

    place: Array
    frame: Array
    slip: Array
    output_slip: Array

    @classmethod
    def from_rows(cls, rows: Sequence[Row]) -> Reading:
        """Return a reading from what ``read`` gave, one row an angle."""
        turns = np.array([[body[1] for body in row[0]] for row in rows])
        frames: Array = Rotation.from_quat(turns.reshape(-1, 4)).as_matrix()
        return cls(
            # Fields 0 and 1 are double precision; 4 and 5 are not.
            place=np.array([[body[0] for body in row[0]] for row in rows]),
            frame=frames.reshape(*turns.shape[:2], 3, 3),
            slip=np.array([row[1] for row in rows]),
            output_slip=np.array([row[2] for row in rows]),
        )


def motion_from(readings: Sequence[Reading], exact: Motion) -> Motion:
    """Return the motion that was read.

    Args:
        readings: One for every state.
        exact: Motion that gave the engine its postures, for what the engine does not know.

    Returns:
        Motion with the route "simulate".
    """
    members = exact.axis.shape[-2]
    turned = np.array([turned_angles(reading.frame[:, :members]) for reading in readings])
    place, frame = (
        np.array([getattr(reading, name)[:-1] for reading in readings])
        for name in ("place", "frame")
    )
    return Motion(
        configuration=exact.configuration,
        route="simulate",
        states=exact.states,
        reference=exact.reference,
        turn_angle=turned[:, :-1, 0],
        joint_center=place[:, :, members:],
        axis=frame[:, :, :members, :, 0],
        slip=np.array([reading.slip[:-1] for reading in readings]),
        output_slip=np.array([reading.output_slip[:-1] for reading in readings]),
        bearing_center=_on_shafts(exact.reference, place[:, :, members:], frame),
        axle_center=exact.axle_center,
        axle_rotation=exact.axle_rotation,
        wrap=exact.wrap,
        driving_pin=frame[:, :, members:, :, 1],
        driven_pin=_driven_pins(exact.configuration, frame[:, :, 1:members]),
        speed_ratio=speed_ratios(turned),
    )


def _on_shafts(reference: Reference, joint: Array, frame: Array) -> Array:
    """Return where the bearings sit on their shafts [m], (S, T, N − 1, 3)."""
    ahead = (reference.length[:-1] - reference.to_joint)[:, None]
    count = len(ahead)
    return np.asarray(joint[:, :, :count] + ahead * frame[:, :, 1 : count + 1, :, 0])


def _driven_pins(configuration: Configuration, frame: Array) -> Array:
    """Return the pin that every joint drives: Y of the member behind an even joint, else Z."""
    return np.stack(
        [frame[:, :, k, :, 1 if even else 2] for k, even in enumerate(even_joints(configuration))],
        axis=2,
    )


def coupled_joints(configuration: Configuration) -> tuple[bool, ...]:
    """Return which joints have a coupling yoke that does not halve their angle."""
    return tuple(share != HALF for share in shares_of(configuration))


def even_joints(configuration: Configuration) -> tuple[bool, ...]:
    """Return which joints run even."""
    coupled = coupled_joints(configuration)
    joints = configuration.joints
    return tuple(j.of_kind.crosses != 1 and not c for j, c in zip(joints, coupled, strict=True))


def turned_angles(frame: Array) -> Array:
    """Return how far members have turned about their own mean axes, from a horizontal Y.

    Args:
        frame: Orientations over one turn, columns X Y Z, shape (T + 1, M, 3, 3).

    Returns:
        Angles [rad], counted on past a full turn, shape (T + 1, M).
    """
    angles = []
    for m in range(frame.shape[1]):
        level = output_frame(unit(frame[:-1, m, :, 0].mean(axis=0)))
        pin = frame[:, m, :, 1] @ level
        angle = np.unwrap(np.arctan2(pin[:, 2], pin[:, 1]))
        angles.append(angle - 2 * np.pi * np.round(angle[0] / (2 * np.pi)))
    return np.stack(angles, axis=-1)


def speed_ratios(turned: Array) -> Array:
    """Return the speeds of all members over that of the output.

    Args:
        turned: Angles over one turn at even steps [rad], output first, shape (S, T + 1, M).

    Returns:
        Ratios [-], shape (S, T, M).
    """
    count = turned.shape[1] - 1
    share = (np.arange(count) / count)[:, None]
    whole = turned[:, -1:] - turned[:, :1]
    periodic = turned[:, :-1] - share * whole
    order = np.fft.rfftfreq(count, 1 / count)[:, None]
    series = np.fft.rfft(periodic, axis=1) * 2j * np.pi * order
    if count % 2 == 0:
        series[:, -1] = 0.0  # the highest order has no derivative on these samples
    speed = whole + np.fft.irfft(series, count, axis=1)
    return np.asarray(speed / speed[..., :1])


def closure_gap(simulated: Motion, exact: Motion) -> float:
    """Return how far the engine's bodies are from the points that hold them, at most.

    Args:
        simulated: Motion from the engine.
        exact: Motion that gave the engine its postures.

    Returns:
        Largest distance of bearing centers and of both points of the pinion axis [m].
    """
    joint, axis = simulated.joint_center, simulated.axis
    gaps = [
        joint[:, :, -1] - exact.joint_center[:, :, -1],
        joint[:, :, -1]
        - exact.joint_center[:, :, -1]
        + ARM * (axis[:, :, -1] - exact.axis[:, :, -1]),
    ]
    gaps.append(simulated.bearing_center - exact.bearing_center)
    return float(max(np.linalg.norm(gap, axis=-1).max(initial=0.0) for gap in gaps))
