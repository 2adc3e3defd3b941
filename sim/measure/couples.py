r"""Couples that joints pass on while they turn under torque: exact, without friction and inertia.

A cross turns freely on both of its pins, so all that it can pass is a moment normal to both.  With
the torque :math:`T` of the member ahead about its own axis :math:`a`,

.. math:: M = T \, n / (n \cdot a), \qquad n = u \times v,

u and v the pins.  What of M is not torque bends the shafts: the secondary couples.  Torque times
speed is the same in every member.  An even joint passes its moment on along the line that halves
its angle; a double Cardan joint is taken as one whatever its coupling yoke does.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Array
from sim.motion.motion import Motion


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JointMoments:
    """What every joint passes to the member behind it, over whole half turns of the output."""

    axis: Array  # axes of the members, (S, 1 or T, M, 3)
    torque: Array  # of every member about its axis [N m], (S, T, M)
    moment: Array  # of every joint [N m], vehicle axes, (S, T, J, 3)

    @property
    def on_driving(self) -> Array:
        """Size of the couple that bends the member ahead of every joint [N m], (S, T, J)."""
        return across(self.moment, self.axis[:, :, :-1])

    @property
    def on_driven(self) -> Array:
        """Size of the couple that bends the member behind every joint [N m], (S, T, J)."""
        return across(self.moment, self.axis[:, :, 1:])


def joint_moments(motion: Motion, samples: slice) -> JointMoments:
    """Return torques and joint moments at some turn angles; all zero in states without torque.

    Source:
        Statics of a frictionless cross; the extremes are those of Eugen Klein GmbH, Bearing Forces
        and Bending Moments, and of Elbe Group, technical pages, ch. 2.
    """
    axis = motion.axis if motion.axis.shape[1] == 1 else motion.axis[:, samples]
    steady = np.array([state.shaft_torque for state in motion.states])
    torque = steady[:, None, None] / motion.speed_ratio[:, samples]
    u, v = motion.driving_pin[:, samples], motion.driven_pin[:, samples]
    moment = np.empty(u.shape)
    for j, joint in enumerate(motion.configuration.joints):
        a, b, pins = axis[:, :, j], axis[:, :, j + 1], (u[:, :, j], v[:, :, j])
        moment[:, :, j] = passed_on(torque[:, :, j], a, b, pins, joint.of_kind.crosses)
    return JointMoments(axis=axis, torque=torque, moment=moment)


def passed_on(torque: Array, a: Array, b: Array, pins: tuple[Array, Array], crosses: int) -> Array:
    """Return the moment that a joint passes on [N m], (S, T, 3).

    Torque of the member ahead [N m], (S, T); axes ahead and behind (S, 1 or T, 3); driving and
    driven pin (S, T, 3); how many crosses the joint has.
    """
    u, v = pins
    normal = np.cross(u, v) if crosses == 1 else np.broadcast_to(a + b, u.shape)
    along = np.einsum("sti,sti->st", normal, np.broadcast_to(a, normal.shape))
    return np.asarray((torque / along)[..., None] * normal)


def across(vector: Array, axis: Array) -> Array:
    """Return the size of the part of vectors (..., 3) across unit axes [same unit], (...)."""
    crossed = np.cross(axis, vector)
    return np.asarray(np.sqrt(np.einsum("...i,...i->...", crossed, crossed)))
