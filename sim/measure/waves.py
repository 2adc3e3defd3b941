r"""Fluctuation and accelerations in closed form, from the three numbers of every speed ratio.

With ``separable.speed_waves``: :math:`1/R = w_0 + m \cos x`, x twice the turn angle from where the
member is slowest, :math:`w_0^2 - m^2 = 1`.  Then R swings between :math:`w_0 - m` and
:math:`w_0 + m`, and

.. math:: R' = 2 m \sin x / (w_0 + m \cos x)^2

is largest where :math:`\cos x = -4m / (w_0 + \sqrt{w_0^2 + 8 m^2})`.  No turn angle is sampled.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def swing(waves: Array) -> Array:
    """Return how far a speed ratio swings to either side [-].

    Args:
        waves: From ``speed_waves`` [-], shape (..., 3).

    Returns:
        Half of the fluctuation [-], shape (...).
    """
    return np.hypot(waves[..., 1], waves[..., 2])


def swing_between(waves: Array, other: Array) -> Array:
    r"""Return how far the speed of a member over that of another one swings to either side [-].

    The numbers of a member lie on :math:`w_0^2 - w_1^2 - w_2^2 = 1`; seen from the other one its
    own :math:`w_0` is the product of both under that form, here from their difference, which keeps
    the digits of nearly even motion.

    Args:
        waves: Of the member [-], shape (..., 3).
        other: Of the member that turns steadily [-], shape (..., 3).

    Returns:
        Half of the fluctuation [-], shape (...).

    Source:
        Derived in DEVELOPERS.md, how sure; checked against sampled turns in the tests.
    """
    apart = waves - other
    above = (apart[..., 1] ** 2 + apart[..., 2] ** 2 - apart[..., 0] ** 2) / 2
    above = np.maximum(above, 0.0)
    return np.asarray(np.sqrt(above * (2 + above)))


def steepest(swing: Array) -> Array:
    """Return the largest change of a speed ratio with the turn of what turns steadily [1/rad].

    Args:
        swing: How far the ratio swings to either side [-].

    Returns:
        Largest size of its derivative [1/rad], same shape.
    """
    mean = np.sqrt(1 + swing**2)
    cosine = -4 * swing / (mean + np.sqrt(1 + 9 * swing**2))
    return np.asarray(2 * swing * np.sqrt(1 - cosine**2) / (mean + swing * cosine) ** 2)
