r"""How the joints of a row shake it twice per turn: moments by torque, and by uneven turning.

Every joint passes on what a cross without friction can (``measure.couples``), and behind it a shaft
that turns unevenly takes :math:`I R' \Omega^2` of its torque, R its speed over that of the output,
R' its change per turn angle of the output.  Both are linear, so two runs over a turn give
all speeds and torques of a posture:

.. math:: \hat M = T\, \hat m + \Omega^2\, \hat n, \qquad
    \hat M = 2\, \overline{M(\theta) e^{-2j\theta}}
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Array
from sim.measure.couples import passed_on
from sim.measure.torsion import polar_moment
from sim.motion.frames import cross, dot, unit
from sim.motion.joints import Turn, kinds_of, phases_of, pin_planes, shares_of, speed_waves, turn
from sim.scene.materials import MATERIALS
from sim.scene.parts import Configuration

ANGLES = np.arange(16) * (np.pi / 16)  # over half a turn, after which all repeats
YOKE_RADIUS = 0.035  # [m], at which the mass of a yoke turns; common practice, no source

Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JointWaves:
    """Second order of the moment that every joint passes on, B postures, complex amplitudes."""

    axis: Array  # of all members, (B, M, 3)
    by_torque: Complex  # moment per torque in the output [-], vehicle axes, (B, J, 3)
    by_speed: Complex  # moment per shaft speed squared [kg m²], (B, J, 3)
    error: Complex  # what every joint adds to the rotation behind it [rad], (B, J)


def polar_inertia(configuration: Configuration, length: Array) -> Array:
    """Return the moment of inertia of every shaft about its axis [kg m²], lengths (B, N)."""
    found = []
    for number, shaft in enumerate(configuration.shafts):
        tube, long = shaft.tube, length[:, number]
        density = MATERIALS[tube.material].density
        section = density * np.asarray(polar_moment(tube.outside, tube.inside))
        area = np.pi / 4 * (np.square(tube.outside) - np.square(tube.inside))
        yokes = np.maximum(shaft.mass - density * area * long, 0.0)
        found.append(section * long + yokes * YOKE_RADIUS**2)
    return np.stack(np.broadcast_arrays(*found), axis=-1)


def joint_waves(configuration: Configuration, axis: Array, inertia: Array) -> JointWaves:
    """Return how the joints of B postures shake twice per turn.

    Args:
        configuration: Whose joints; its numbers may be arrays of shape (B,).
        axis: Unit axes of all members, pointing aft, (B, M, 3).
        inertia: Of every shaft about its axis [kg m²], (B, N).

    Returns:
        Moments per torque and per speed squared.

    Source:
        Statics of a frictionless cross; inertia derived in DEVELOPERS.md, shake.
    """
    kinds, rows = kinds_of(configuration), len(axis)
    planes = pin_planes(axis, phases_of(configuration), kinds, shares_of(configuration))
    turns = turn(planes, np.broadcast_to(ANGLES, (rows, len(ANGLES))))
    uneven = _unevenness(speed_waves(planes))
    wave = 2 / len(ANGLES) * np.exp(-2j * ANGLES)
    one = _moments(configuration, axis, turns, 1.0, np.zeros_like(uneven))
    slowed = -inertia[:, None] * uneven[..., :-1]
    own = _moments(configuration, axis, turns, 0.0, slowed)
    # rotation is speed added up over the angle: its wave of twice the angle is 2j times smaller
    ahead = np.einsum("btj,t->bj", np.diff(turns.speed_ratio, axis=-1), wave) / 2j
    return JointWaves(
        axis=axis,
        by_torque=np.einsum("btji,t->bji", one, wave),
        by_speed=np.einsum("btji,t->bji", own, wave),
        error=ahead,
    )


def _unevenness(waves: Array) -> Array:
    """Return R' behind every joint over a turn [-], (B, T, J), by the closed form of 1/R."""
    cos, sin = np.cos(2 * ANGLES)[:, None], np.sin(2 * ANGLES)[:, None]
    w = waves[:, None]
    ratio = 1 / (w[..., 0] + w[..., 1] * cos + w[..., 2] * sin)
    return np.asarray(-2 * ratio**2 * (w[..., 2] * cos - w[..., 1] * sin))


def _moments(
    configuration: Configuration, axis: Array, turns: Turn, torque: float, taken: Array
) -> Array:
    """Return moments of all joints over a turn, (B, T, J, 3); taken by the shafts, (B, T, N)."""
    u, v = turns.driving_pin, turns.driven_pin
    passing, moment = np.full(u.shape[:2], torque), np.empty(u.shape)
    for j, joint in enumerate(configuration.joints):
        a, b = axis[:, None, j], axis[:, None, j + 1]
        pins = u[:, :, j], v[:, :, j]
        moment[:, :, j] = passed_on(passing, a, b, pins, joint.of_kind.crosses)
        if j < taken.shape[-1]:
            passing = dot(moment[:, :, j], b) + taken[..., j]
    return moment


def across_planes(moment: Complex, axis: Array) -> Complex:
    """Return how moments (..., 3) load slopes of axes (..., 3), aside and upright, (..., 2).

    With y across the axis and level and z = a × y, a slope aside turns about z, one upright about
    −y.
    """
    level = unit(np.array([0.0, 1.0, 0.0]) - axis[..., 1, None] * axis)
    upright = cross(axis, level)
    about = [(moment * upright).sum(axis=-1), -(moment * level).sum(axis=-1)]
    return np.stack(about, axis=-1)
