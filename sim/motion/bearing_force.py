r"""Forces of the shafts on their center bearings: balance of every shaft, from the pinion forward.

The couples at the two ends of a shaft do not cancel, so sideways forces at its joints must balance
them, and the shaft ahead carries these on.  With its rear force F, its couples M, its weight W and
its bearing at d of its length D, a coupling shaft needs

.. math:: B = \left( D F_\perp - (M_{front} - M_{rear}) \times a - D W_\perp / 2 \right) / d

from its bearing.  A spline passes no axial force here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.motion.frames import cross, dot, norm, stacked
from sim.motion.joints import kinds_of
from sim.motion.motion import Chain, Reference
from sim.scene.parts import Configuration, JointKind, kind_of_joint
from sim.units import GRAVITY

DOWN = np.array([0.0, 0.0, -1.0])


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
    configuration: Configuration, reference: Reference, chain: Chain, torque: ArrayLike
) -> Array:
    """Return the mean force of the shafts on every bearing over a turn, by torque and weight.

    Of torques in the shafts [N m], (...): forces [N], vehicle axes, (..., N − 1, 3).
    """
    moments = mean_moments(chain.axis, kinds_of(configuration), torque)
    weights = weights_of(configuration)
    return bearing_forces(
        configuration, reference, chain.joint_center, chain.axis, moments, weights
    )


def given_way(
    configuration: Configuration, reference: Reference, chain: Chain, torque: ArrayLike
) -> Array:
    """Return how far the bearings give way across their shafts under the mean force.

    The places that were read hold the weight already, which stands in the reference; below planned
    ones the shafts sag by it.  Of the chain with unmoved bearings and torques in the shafts [N m]:
    displacements [m], (..., N − 1, 3).

    Source:
        Derived in DEVELOPERS.md, what the bearing feels.
    """
    force = mean_forces(configuration, reference, chain, torque)
    stiffness = stacked([np.asarray(bearing.radial) for bearing in configuration.bearings])
    pushed = across(force - reference.weight, chain.axis[..., 1:-2, :])
    return np.asarray(pushed / stiffness[..., None])


def bearing_forces(
    configuration: Configuration,
    reference: Reference,
    joint_center: Array,
    axis: Array,
    moment: Array,
    weight: Sequence[Any],
) -> Array:
    """Return the force of the shafts on every center bearing, across its shaft.

    Of moments of every joint [N m], (..., J, 3), and weights of every shaft [N], numbers or one of
    every design: forces [N], vehicle axes, (..., N − 1, 3).

    Source:
        Statics, derived in DEVELOPERS.md, what the bearing feels.
    """
    forces: list[Array] = []
    rear = np.zeros(3)
    last = len(weight) - 1
    slides = {"output": 0, "midship": last, "shaft": last + 1}[configuration.spline.at]
    for k in range(last, -1, -1):
        along = axis[..., k + 1, :]
        span = joint_center[..., k + 1, :] - joint_center[..., k, :]
        length = norm(span)[..., None]
        unbalanced = cross(moment[..., k, :] - moment[..., k + 1, :], along)
        heavy = across(np.asarray(weight[k])[..., None] * DOWN, along)
        if k == last:  # both ends on joints: the front force is minus the couple over the length
            front = unbalanced / length - heavy / 2
            rear = _free_along(front, along, axis[..., slides, :])
            continue
        pushed = length * across(rear, along) - length / 2 * heavy
        ahead = np.asarray(reference.length[k] - reference.to_joint[k])[..., None]
        on_shaft = (pushed - unbalanced) / ahead
        forces.append(-on_shaft)
        rear = across(rear, along) - on_shaft - heavy
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
