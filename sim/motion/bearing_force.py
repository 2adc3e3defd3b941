r"""Forces of the shafts on their center bearings: balance of every shaft, from the pinion forward.

The couples at the two ends of a shaft do not cancel, so sideways forces at its joints must balance
them, and the shaft ahead carries these on.  With its rear force F, its couples M, its weight W and
its bearing at d of its length D, a coupling shaft needs

.. math:: B = \left( D F_\perp - (M_{front} - M_{rear}) \times a - D W_\perp / 2 \right) / d

from its bearing.  A spline passes no axial force here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.motion.frames import cross, dot, norm, stacked
from sim.motion.joints import kinds_of
from sim.motion.motion import Reference
from sim.scene.parts import Configuration, JointKind, kind_of_joint

GRAVITY = 9.80665  # [m/s²], standard, ISO 80000-3
DOWN = np.array([0.0, 0.0, -1.0])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hung:
    """Where shafts hang, and what of it decides how they bear on their bearings."""

    joint_center: Array  # joint centers [m], (..., J, 3)
    axis: Array  # unit axes of all members, pointing aft, (..., M, 3)
    # front joint to bearing along every coupling shaft [m], N − 1 numbers, or rows of them for many
    # designs
    ahead: Sequence[Any] | Array
    slides: int  # number of the member along whose axis the spline slides


def slides_along(configuration: Configuration) -> int:
    """Return the number of the member along whose axis the spline slides, the output being 0."""
    last = len(configuration.shafts)
    return {"output": 0, "midship": last - 1, "shaft": last}[configuration.spline.at]


def weights_of(configuration: Configuration) -> list[Any]:
    """Return the weight of every shaft from the front [N]."""
    return [GRAVITY * np.asarray(shaft.mass) for shaft in configuration.shafts]


def mean_moments(axis: Array, kinds: Sequence[JointKind], torque: ArrayLike) -> Array:
    r"""Return the mean over a turn of the moment that every joint passes on.

    .. math:: \bar M = \frac{T}{2} \left( a + \frac{b}{a \cdot b} \right), \qquad
        \bar M = T \, \frac{a + b}{1 + a \cdot b}

    for a universal joint from axis a to b and for a joint that runs even.

    Axes of all members (..., M, 3) and torque in the shafts [N m], (...), give moments [N m], (...,
    J, 3): exact at the first joint, behind others to the square of their angles.

    Source:
        Derived in DEVELOPERS.md, what the bearing feels.
    """
    turning, moments = np.asarray(torque, float)[..., None], []
    for joint, kind in enumerate(kinds):
        a, b = axis[..., joint, :], axis[..., joint + 1, :]
        cosine = dot(a, b)[..., None]
        one = kind_of_joint(kind).crosses == 1
        passed = (a + b / cosine) / 2 if one else (a + b) / (1 + cosine)
        moments.append(turning * passed)
    return stacked(moments, 1)


def mean_forces(
    configuration: Configuration,
    reference: Reference,
    joint_center: Array,
    axis: Array,
    torque: ArrayLike,
) -> Array:
    """Return the mean force of the shafts on every bearing over a turn, by torque and weight.

    Args:
        configuration: Its joints, and the masses of its shafts.
        reference: Lengths of the shafts.
        joint_center: Joint centers [m], shape (..., J, 3).
        axis: Unit axes of all members, pointing aft, shape (..., M, 3).
        torque: In the shafts [N m], shape (...).

    Returns:
        Forces [N], vehicle axes, shape (..., N − 1, 3).
    """
    hung = Hung(
        joint_center=joint_center,
        axis=axis,
        ahead=[n - b for n, b in zip(reference.length, reference.to_joint, strict=False)],
        slides=slides_along(configuration),
    )
    moments = mean_moments(axis, kinds_of(configuration), torque)
    return bearing_forces(hung, moments, weights_of(configuration))


def given_way(
    configuration: Configuration,
    reference: Reference,
    joint_center: Array,
    axis: Array,
    torque: ArrayLike,
) -> Array:
    """Return how far the bearings give way across their shafts under the mean force.

    Args:
        configuration: Its bearings besides; see ``mean_forces`` for all arguments.
        reference: With the weight on the bearings, which the places that were read hold already.
        joint_center: Joint centers with unmoved bearings [m].
        axis: Unit axes with unmoved bearings [-].
        torque: In the shafts [N m].

    Returns:
        Displacements [m], vehicle axes, shape (..., N − 1, 3).

    Source:
        Derived in DEVELOPERS.md, what the bearing feels.
    """
    force = mean_forces(configuration, reference, joint_center, axis, torque)
    stiffness = stacked([np.asarray(bearing.radial) for bearing in configuration.bearings])
    return np.asarray(across(force - reference.weight, axis[..., 1:-2, :]) / stiffness[..., None])


def bearing_forces(hung: Hung, moment: Array, weight: Sequence[Any]) -> Array:
    """Return the force of the shafts on every center bearing, across its shaft.

    Of moments of every joint [N m], (..., J, 3), and weights of every shaft [N], numbers or one of
    every design: forces [N], vehicle axes, (..., N − 1, 3).

    Source:
        Statics, derived in DEVELOPERS.md, what the bearing feels.
    """
    forces: list[Array] = []
    rear = np.zeros(3)
    last = len(weight) - 1
    for k in range(last, -1, -1):
        axis = hung.axis[..., k + 1, :]
        span = hung.joint_center[..., k + 1, :] - hung.joint_center[..., k, :]
        length = norm(span)[..., None]
        unbalanced = cross(moment[..., k, :] - moment[..., k + 1, :], axis)
        heavy = across(np.asarray(weight[k])[..., None] * DOWN, axis)
        if k == last:  # both ends on joints: the front force is minus the couple over the length
            front = unbalanced / length - heavy / 2
            rear = _free_along(front, axis, hung.axis[..., hung.slides, :])
            continue
        pushed = length * across(rear, axis) - length / 2 * heavy
        on_shaft = (pushed - unbalanced) / np.asarray(hung.ahead[k])[..., None]
        forces.append(-on_shaft)
        rear = across(rear, axis) - on_shaft - heavy
    if not forces:
        return np.zeros((*moment.shape[:-2], 0, 3))
    return stacked(forces[::-1], 1)


def _free_along(force: Array, axis: Array, slide: Array) -> Array:
    """Add to a force across an axis what along it makes it free of force along the slide."""
    along = dot(force, slide) / dot(axis, slide)
    return np.asarray(force - along[..., None] * axis)


def across(vector: Array, axis: Array) -> Array:
    """Return the part of vectors across unit axes, shape (..., 3)."""
    return np.asarray(vector - dot(vector, axis)[..., None] * axis)
