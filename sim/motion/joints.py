r"""Pins and speed ratios of a chain of joints over a turn of the output.

One universal joint from axis a to axis b, its driving pin u: driven pin ``v = unit(b × u)``, speed
ratio ``(a·b) / (1 − (u·b)²)``; the driving pin of the next joint is v turned by the shaft's phase.

Every step is linear in the pin but for its length.  So each pin of the chain is
``cos θ p + sin θ q`` brought to length one, where p and q do not depend on the turn angle θ, and
lengths cancel down the chain: the speed of a member over that of the output is

.. math:: R(\theta) = \prod \cos\beta_k \; / \; |\cos\theta\, p + \sin\theta\, q|^2

with p and q of the pin that the member's own joint drives.  Hence the mean of R over θ is 1.

A double Cardan joint whose coupling yoke does not halve the angle is two such joints, one after the
other, the ears of the coupling yoke in line.  Every other joint but that of one cross runs even.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.motion.frames import angle_between, cos_sin, cross, dot, stacked, unit, vector
from sim.scene.parts import Configuration, Joint, JointKind, kind_of_joint

Pair = tuple[Array, Array]
HALF = 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PinPlanes:
    """Each pin as a pair of vectors: at θ it is ``cos θ p + sin θ q``, brought to length one."""

    driving: tuple[Pair, ...]  # (p, q) of the driving pin of every joint, each (..., 3)
    driven: tuple[Pair, ...]  # the same of the driven pin
    cosines: tuple[Array, ...]  # their product up to and with each joint, each (...)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turn:
    """Unit pins, shape (S, T, J, 3), and speed ratios, shape (S, T, M), over a turn."""

    driving_pin: Array
    driven_pin: Array
    speed_ratio: Array


def phases_of(configuration: Configuration) -> tuple[float, ...]:
    """Return the phase of every shaft from the front [rad]."""
    return tuple(shaft.phase for shaft in configuration.shafts)


def kinds_of(configuration: Configuration) -> tuple[JointKind, ...]:
    """Return the kind of every joint from the front."""
    return tuple(joint.kind for joint in configuration.joints)


def shares_of(configuration: Configuration) -> tuple[float, ...]:
    """Return the share of its angle at which each joint's front cross bends; 1/2 runs even."""
    return tuple(front_share(joint) for joint in configuration.joints)


def pin_planes(
    axis: Array,
    phases: Sequence[float],
    kinds: Sequence[JointKind],
    shares: Sequence[float] | None = None,
) -> PinPlanes:
    """Carry the output's pin down the chain.

    Axes (..., M, 3) point aft; phases [rad] are right-handed about them; without ``shares_of``
    every double Cardan joint runs even.

    Source:
        Hooke joint: Seherr-Thoss, Schmelz, Aucktor, Universal Joints and Driveshafts (from
        memory); the linear form is derived in DEVELOPERS.md, joints.
    """
    pair = _first_pair(axis[..., 0, :])
    driving: list[Pair] = []
    driven: list[Pair] = []
    cosines: list[Array] = []
    product = np.ones(axis.shape[:-2])
    for joint, kind in enumerate(kinds):
        a, b = axis[..., joint, :], axis[..., joint + 1, :]
        driving.append(pair)
        if kind_of_joint(kind).crosses == 1:
            pair = cross(b, pair[0]), cross(b, pair[1])
            product = product * dot(a, b)
        elif shares is not None and np.any(shares[joint] != HALF):
            c = coupling_axis(a, b, shares[joint])
            pair = (
                cross(cross(c, pair[0]), b),
                cross(cross(c, pair[1]), b),
            )  # as the even joint turns
            product = product * dot(a, c) * dot(c, b)
        else:
            pair = _shortest_turn(a, b, pair[0]), _shortest_turn(a, b, pair[1])
        driven.append(pair)
        cosines.append(product)
        if joint < len(phases):
            phase = np.asarray(phases[joint])[..., None]
            cos, sin = cos_sin(phase)
            p, q = pair
            pair = cos * p + sin * cross(b, p), cos * q + sin * cross(b, q)
    return PinPlanes(driving=tuple(driving), driven=tuple(driven), cosines=tuple(cosines))


def speed_waves(planes: PinPlanes) -> Array:
    r"""Return three numbers of every member behind a joint, from which its speed follows.

    .. math:: 1 / R(\theta) = w_0 + w_1 \cos 2\theta + w_2 \sin 2\theta

    Numbers w [-], (..., J, 3), with ``w0² − w1² − w2² = 1``, which is why the mean of R is 1.

    Source:
        The square ``|cos θ p + sin θ q|²`` is a constant and one wave at twice the turn angle.
    """
    waves = []
    for (p, q), cosine in zip(planes.driven, planes.cosines, strict=True):
        pp, qq, twice = dot(p, p), dot(q, q), 2 * cosine
        waves.append(((pp + qq) / twice, (pp - qq) / twice, dot(p, q) / cosine))
    return vector(*(stacked(column) for column in zip(*waves, strict=True)))


def turn(planes: PinPlanes, turn_angle: Array) -> Turn:
    """Return pins and speed ratios at rotations θ of the output [rad], (S, T)."""
    states, turns = turn_angle.shape
    joints = len(planes.cosines)
    cos, sin = cos_sin(turn_angle)
    driving, driven = np.empty((2, states, turns, joints, 3))
    ratio = np.ones((states, turns, joints + 1))
    for j in range(joints):
        driving[:, :, j], _ = _pins(planes.driving[j], cos, sin)
        driven[:, :, j], square = _pins(planes.driven[j], cos, sin)
        np.divide(planes.cosines[j][:, None], square, out=ratio[:, :, j + 1])
    return Turn(driving_pin=driving, driven_pin=driven, speed_ratio=ratio)


def _pins(pair: Pair, cos: Array, sin: Array) -> tuple[Array, Array]:
    """Return unit pins (S, T, 3) and the squares of their lengths before (S, T)."""
    parts = [cos * pair[0][:, i, None] + sin * pair[1][:, i, None] for i in range(3)]
    square = parts[0] ** 2 + parts[1] ** 2 + parts[2] ** 2
    scale = 1 / np.sqrt(square)
    return np.stack([part * scale for part in parts], axis=-1), square


def _first_pair(axis: Array) -> Pair:
    """Return e1 and e2: the output's pin at θ = 0, horizontal, and a quarter turn on."""
    e1 = unit(np.array([0.0, 1.0, 0.0]) - axis[..., 1, None] * axis)
    return e1, cross(axis, e1)


def _shortest_turn(a: Array, b: Array, vector: Array) -> Array:
    """Turn vectors by the shortest rotation that brings unit axis a to unit axis b."""
    w = cross(a, b)
    once = cross(w, vector)
    return np.asarray(vector + once + cross(w, once) / (1 + dot(a, b))[..., None])


def front_share(joint: Joint) -> float:
    """Return the share of the joint angle β at which the front cross bends [-]: 1/2 + e/β.

    Both the halving error e and β are as the scene gives them; e grows with the angle.
    """
    return HALF + joint.halving_error / joint.halving_error_at


def coupling_axis(front: Array, rear: Array, share: ArrayLike = HALF) -> Array:
    r"""Return the axis of the coupling yoke between two crosses.

    Of unit axes a ahead and b behind (..., 3), the joint angle β between them, and the share s of
    it that the front cross takes:

    .. math:: c = \frac{\sin((1-s)\beta)\, a + \sin(s\beta)\, b}{\sin\beta}

    Halfway the two crosses cancel and the joint runs even.  A centering device that is worn or out
    of the middle leaves the half.

    Source:
        Derived in DEVELOPERS.md, joints of two crosses.
    """
    angle, s = angle_between(front, rear), np.asarray(share, float)
    whole = np.sinc(angle / np.pi)  # right at angle 0 too
    ahead, behind = (part * np.sinc(part * angle / np.pi) / whole for part in (1 - s, s))
    return np.asarray(ahead[..., None] * front + behind[..., None] * rear)
