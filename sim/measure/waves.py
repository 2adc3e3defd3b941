r"""Fluctuation and accelerations in closed form, from the three numbers of every speed ratio.

With ``joints.speed_waves``: :math:`1/R = w_0 + m \cos x`, x twice the turn angle from where the
member is slowest, :math:`w_0^2 - m^2 = 1`.  Then R swings between :math:`w_0 - m` and
:math:`w_0 + m`, and

.. math:: R' = 2 m \sin x / (w_0 + m \cos x)^2

is largest where :math:`\cos x = -4m / (w_0 + \sqrt{w_0^2 + 8 m^2})`.  No turn angle is sampled.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.measure.measurements import Acceleration
from sim.motion.joints import kinds_of, phases_of, pin_planes, shares_of, speed_waves
from sim.scene.parts import Configuration


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unevenness:
    """How unevenly the members turn; no turn angle is sampled."""

    # how far the speed of every member behind a joint swings to either side of that of a steady
    # output [-], (..., J)
    swing: Array
    drive: Array  # steepest change of every member's speed ratio at steady output [1/rad], (..., J)
    coast: Array  # the same of every shaft at steady pinion [1/rad], (..., N)

    def accelerations(self, speed: ArrayLike) -> Acceleration:
        """Return the accelerations at mean shaft speeds [rad/s], shape (...)."""
        square = np.asarray(speed, float) ** 2
        shafts = self.drive[..., :-1]
        return Acceleration(
            torsional=square * self.drive[..., -1],
            inertial_drive=square * shafts.max(axis=-1),
            inertial_coast=square * self.coast.max(axis=-1),
            drive_shaft=shafts.argmax(axis=-1) + 1,
            coast_shaft=self.coast.argmax(axis=-1) + 1,
        )


def unevenness_of(configuration: Configuration, axis: Array) -> Unevenness:
    """Return how unevenly the members of a chain turn, of their unit axes (..., M, 3)."""
    planes = pin_planes(
        axis, phases_of(configuration), kinds_of(configuration), shares_of(configuration)
    )
    waves = speed_waves(planes)
    swings = swing(waves)
    return Unevenness(
        swing=swings,
        drive=steepest(swings),
        coast=steepest(swing_between(waves[..., :-1, :], waves[..., -1:, :])),
    )


def residual_angle(swing: Array) -> Array:
    r"""Return the angle of the one joint that would swing as far.

    .. math:: w_0 + m = 1/\cos\beta, \quad \cos\beta = w_0 - m

    Half of a fluctuation [-] gives β [rad]; rounding leaves 1e-8 near 0.

    Source:
        One joint: 1/R swings between cos β and 1/cos β; any handbook.
    """
    mean = np.sqrt(1 + swing**2)
    less = swing * (1 - swing / (1 + mean))  # 1 − cos β
    return np.asarray(2 * np.arcsin(np.sqrt(less / 2)))


def swing(waves: Array) -> Array:
    """Return how far speed ratios of waves (..., 3) swing to either side [-]."""
    return np.asarray(np.sqrt(waves[..., 1] ** 2 + waves[..., 2] ** 2))


def swing_between(waves: Array, other: Array) -> Array:
    """Return how far the speed of a member over that of another one swings to either side [-].

    The numbers of a member lie on :math:`w_0^2 - w_1^2 - w_2^2 = 1`; seen from the other one its
    own :math:`w_0` is the product of both under that form, here from their difference, which keeps
    the digits of nearly even motion.

    Of waves (..., 3), ``other`` those of the member that turns steadily: half of the fluctuation
    [-].

    Source:
        Derived in DEVELOPERS.md, how sure; checked against sampled turns in the tests.
    """
    apart = waves - other
    above = (apart[..., 1] ** 2 + apart[..., 2] ** 2 - apart[..., 0] ** 2) / 2
    above = np.maximum(above, 0.0)
    return np.asarray(np.sqrt(above * (2 + above)))


def steepest(swing: Array) -> Array:
    """Return the largest slope [1/rad] of speed ratios that swing so far to either side [-]."""
    mean = np.sqrt(1 + swing**2)
    cosine = -4 * swing / (mean + np.sqrt(1 + 9 * swing**2))
    return np.asarray(2 * swing * np.sqrt(1 - cosine**2) / (mean + swing * cosine) ** 2)
