"""What the center bearings feel over a turn, and how far their rubber gives way.

Friction of the spline is ``spline_friction``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Array
from sim.measure.couples import JointMoments
from sim.motion.bearing_force import bearing_forces, weights_of
from sim.motion.frames import angle_between
from sim.motion.motion import Motion


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BearingLoads:
    """Load of every center bearing in every state, B bearings."""

    steady: Array  # mean force of the shafts on the bearing by torque [N], vehicle axes, (S, B, 3)
    second: Array  # amplitude of its twice-per-turn part [N], along its longest direction, (S, B)
    peak: Array  # largest force by torque over a turn [N], (S, B)
    weight: Array  # share of the shafts' weight that it carries [N], (S, B)
    largest: Array  # largest force by torque and weight together over a turn [N], (S, B)
    one_joint: Array  # what the formula for one joint would say of the peak [N], (S, B)
    tilt: Array  # largest angle of the shaft to the square of its bracket [rad], (S, B)
    across: Array  # how far the rubber gives way across the shaft [m], (S, B)
    along: Array  # the same along it, aft positive [m], (S, B)
    axial: Array  # force that along needs [N], (S, B)


def forces_over_a_turn(
    motion: Motion, moments: JointMoments, samples: slice
) -> tuple[Array, Array]:
    """Return the forces of the shafts on every bearing by torque and by weight [N], (S, T, B, 3).

    Source:
        See ``motion.bearing_force``.
    """
    center, configuration = motion.joint_center, motion.configuration
    center = center if center.shape[1] == 1 else center[:, samples]
    hung = configuration, motion.reference, center, moments.axis
    weight = weights_of(configuration)
    return (
        bearing_forces(*hung, moments.moment, [0.0] * len(weight)),
        bearing_forces(*hung, np.zeros_like(moments.moment), weight),
    )


def measure_bearing_loads(
    motion: Motion, moments: JointMoments, samples: slice, ride: int
) -> BearingLoads:
    """Return what the center bearings feel in every state, brackets set in the state ``ride``.

    Samples lie evenly over whole half turns, as in the moments.

    Source:
        See ``forces_over_a_turn``; one joint: derived in DEVELOPERS.md, exact where the joint
        angles behind the bearing are equal and their couples cancel.
    """
    force, weight = forces_over_a_turn(motion, moments, samples)
    carried = weight.mean(axis=1)
    across, along = _given_way(motion)
    return BearingLoads(
        steady=force.mean(axis=1),
        second=_second_order(force, motion.turn_angle[:, samples]),
        peak=np.linalg.norm(force, axis=-1).max(axis=1),
        weight=np.linalg.norm(carried, axis=-1),
        largest=np.linalg.norm(force + weight, axis=-1).max(axis=1),
        one_joint=_one_joint(motion, moments),
        tilt=_tilt(motion, ride),
        across=across,
        along=along,
        axial=along * np.array([bearing.axial for bearing in motion.configuration.bearings]),
    )


def one_joint_peak(torque: Array, angle: Array, span: Array) -> Array:
    r"""Return the peak of the force that one joint just behind a bearing puts on it.

    .. math:: F = T \tan\beta / L

    Torque [N m], joint angle β [rad] and span L from front joint to bearing [m] broadcast; half of
    the peak [N] is steady, half swings twice per turn.

    Source:
        Couple T tan β on the driving shaft: Eugen Klein GmbH, Bearing Forces and Bending Moments;
        shaft as a beam on its front joint and the bearing.
    """
    return np.asarray(np.abs(torque) * np.tan(angle) / span)


def _second_order(force: Array, turn: Array) -> Array:
    """Return the longest excursion of the twice-per-turn part of forces, (S, B)."""
    wave = np.exp(-2j * turn)[..., None, None]
    part = 2 * (force * wave).mean(axis=1)
    p, q = part.real, part.imag
    pp, qq, pq = (np.einsum("sbi,sbi->sb", a, b) for a, b in ((p, p), (q, q), (p, q)))
    return np.asarray(np.sqrt((pp + qq) / 2 + np.hypot((pp - qq) / 2, pq)))


def _given_way(motion: Motion) -> tuple[Array, Array]:
    """Return how far the bearings are from where the scene hung them, across and along, (S, B)."""
    bearings = motion.configuration.bearings
    axis = motion.axis.mean(axis=1)[:, 1:-2]
    hung = np.array([bearing.point for bearing in bearings]).reshape(-1, 3)
    off = motion.bearing_center.mean(axis=1) - hung
    along = np.sum(off * axis, axis=-1)
    return np.linalg.norm(off - along[..., None] * axis, axis=-1), along


def _one_joint(motion: Motion, moments: JointMoments) -> Array:
    """Return the peak by the formula for one joint, for every bearing, (S, B)."""
    axis = moments.axis.mean(axis=1)
    torque = np.array([[state.shaft_torque] for state in motion.states])
    span = motion.reference.length[:-1] - motion.reference.to_joint
    return one_joint_peak(torque, angle_between(axis[:, 1:-2], axis[:, 2:-1]), span)


def _tilt(motion: Motion, ride: int) -> Array:
    """Return the largest angle of every coupling shaft to the square of its bracket, (S, B).

    No scene says which way a bracket is skewed: skew and what the shaft tips add up.
    """
    axis = motion.axis.mean(axis=1)[:, 1:-2]
    skew = np.array([abs(bearing.skew) for bearing in motion.configuration.bearings])
    return np.asarray(skew + angle_between(axis, axis[ride]))
