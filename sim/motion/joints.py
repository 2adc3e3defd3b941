r"""Pins and speed ratios of a chain of joints over a turn of the output.

One universal joint from axis a to axis b, its driving pin u: driven pin ``v = unit(b × u)``, speed
ratio ``(a·b) / (1 − (u·b)²)``; the driving pin of the next joint is v turned by the shaft's phase.

Every step is linear in the pin but for its length.  So each pin of the chain is
``cos θ p + sin θ q`` brought to length one, where p and q do not depend on the turn angle θ, and
lengths cancel down the chain: the speed of a member over that of the output is

.. math:: R(\theta) = \prod \cos\beta_k \; / \; |\cos\theta\, p + \sin\theta\, q|^2

with p and q of the pin that the member's own joint drives.  Hence the mean of R over θ is 1.

A double Cardan joint whose coupling yoke does not halve the angle is two such joints, one after the
other, the ears of the coupling yoke in line.  Other joints that are not universal run even.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.motion.double_joint import HALF, coupling_axis, front_share
from sim.scene.parts import Configuration, JointKind

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PinPlanes:
    """Each pin as a pair of vectors: the pin at θ is ``cos θ p + sin θ q``, brought to length one.

    Attributes:
        driving: Pairs of the driving pins, shape (S, J, 2, 3).
        driven: Pairs of the driven pins, shape (S, J, 2, 3).
        cosines: Product of the joint cosines up to and with each joint, shape (S, J).
    """

    driving: Array
    driven: Array
    cosines: Array


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

    Args:
        axis: Unit axes of all members, pointing aft, shape (S, M, 3).
        phases: Phase of each shaft [rad], N of them, right-handed about the aft axis.
        kinds: Kind of each joint, N + 1 of them.
        shares: From ``shares_of``; left out, every double Cardan joint runs even.

    Returns:
        Pairs of vectors from which every pin at any turn angle follows.

    Source:
        Hooke joint: Seherr-Thoss, Schmelz, Aucktor, Universal Joints and Driveshafts (from
        memory); the linear form is derived in DEVELOPERS.md, joints.
    """
    pair = _first_pair(axis[:, 0])
    driving, driven, cosines = [], [], []
    product = np.ones(len(axis))
    for joint, kind in enumerate(kinds):
        a, b = axis[:, joint], axis[:, joint + 1]
        driving.append(pair)
        if kind == "universal":
            pair = _cross(b[:, None], pair)
            product = product * np.einsum("si,si->s", a, b)
        elif shares is not None and np.any(shares[joint] != HALF):
            c = coupling_axis(a, b, shares[joint])
            pair = -_cross(b[:, None], _cross(c[:, None], pair))  # minus: as the even joint turns
            product = product * (a * c).sum(axis=-1) * (c * b).sum(axis=-1)
        else:
            pair = _shortest_turn(a[:, None], b[:, None], pair)
        driven.append(pair)
        cosines.append(product)
        if joint < len(phases):
            phase = np.asarray(phases[joint])[..., None, None]
            cos, sin = np.cos(phase), np.sin(phase)
            pair = cos * pair + sin * _cross(b[:, None], pair)
    return PinPlanes(
        driving=np.stack(driving, axis=1),
        driven=np.stack(driven, axis=1),
        cosines=np.stack(cosines, axis=1),
    )


def turn(planes: PinPlanes, turn_angle: Array) -> Turn:
    """Return pins and speed ratios at turn angles of the output.

    Args:
        planes: From ``pin_planes``.
        turn_angle: Rotation θ of the output [rad], shape (S, T); 0 with its pin horizontal.

    Returns:
        Unit pins and speed ratios.
    """
    states, turns = turn_angle.shape
    joints = planes.cosines.shape[1]
    cos, sin = np.cos(turn_angle), np.sin(turn_angle)
    driving, driven = np.empty((2, states, turns, joints, 3))
    ratio = np.ones((states, turns, joints + 1))
    for j in range(joints):
        driving[:, :, j], _ = _pins(planes.driving[:, j], cos, sin)
        driven[:, :, j], square = _pins(planes.driven[:, j], cos, sin)
        np.divide(planes.cosines[:, j, None], square, out=ratio[:, :, j + 1])
    return Turn(driving_pin=driving, driven_pin=driven, speed_ratio=ratio)


def _pins(pair: Array, cos: Array, sin: Array) -> tuple[Array, Array]:
    """Return unit pins (S, T, 3) and the squares of their lengths before (S, T)."""
    parts = [cos * pair[:, 0, i, None] + sin * pair[:, 1, i, None] for i in range(3)]
    square = parts[0] ** 2 + parts[1] ** 2 + parts[2] ** 2
    scale = 1 / np.sqrt(square)
    return np.stack([part * scale for part in parts], axis=-1), square


def _first_pair(axis: Array) -> Array:
    """Return e1 and e2 (S, 2, 3): the output's pin at θ = 0, horizontal, and at a quarter turn."""
    e1 = np.array([0.0, 1.0, 0.0]) - axis[:, 1, None] * axis
    e1 = e1 / np.sqrt((e1 * e1).sum(axis=-1, keepdims=True))
    return np.stack([e1, _cross(axis, e1)], axis=1)


def _shortest_turn(a: Array, b: Array, vector: Array) -> Array:
    """Turn vectors by the shortest rotation that brings unit axis a to unit axis b."""
    w = _cross(a, b)
    once = _cross(w, vector)
    return np.asarray(vector + once + _cross(w, once) / (1 + (a * b).sum(axis=-1, keepdims=True)))


def _cross(a: Array, b: Array) -> Array:
    """Return a × b over the last axis; quicker than numpy's for small arrays."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    product = np.empty(np.broadcast_shapes(a.shape, b.shape))
    product[..., 0] = ay * bz - az * by
    product[..., 1] = az * bx - ax * bz
    product[..., 2] = ax * by - ay * bx
    return product
