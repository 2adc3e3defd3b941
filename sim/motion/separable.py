r"""The pinion's speed ratio as heights times angles: one small matrix product.

From ``joints``: the ratio is a product of cosines over ``|cos θ p + sin θ q|²``.  That square is a
constant and one wave at twice the turn angle, so

.. math:: 1 / R(\theta) = w_0 + w_1 \cos 2\theta + w_2 \sin 2\theta

with three numbers per state.  ``separable_ratio`` is the fast path for sweeps, searches and
uncertainty; tests/bench measures it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.motion.joints import PinPlanes, kinds_of, phases_of, pin_planes, shares_of
from sim.scene.parts import Configuration

Array = NDArray[np.float64]
ROWS = 32  # states in one product: what fits the fast memory of a core


def speed_waves(planes: PinPlanes) -> Array:
    """Return the three numbers w of every member behind a joint.

    Args:
        planes: From ``joints.pin_planes``.

    Returns:
        Numbers of 1/R [-], shape (S, J, 3): mean, cosine and sine of twice the turn angle.
        ``w0² − w1² − w2² = 1``, which is why the mean of R is 1.
    """
    p, q = planes.driven[:, :, 0], planes.driven[:, :, 1]
    pp, qq, pq = (np.einsum("sji,sji->sj", a, b) for a, b in ((p, p), (q, q), (p, q)))
    squares = np.stack([(pp + qq) / 2, (pp - qq) / 2, pq], axis=-1)
    return np.asarray(squares / planes.cosines[..., None])


def separable_ratio(configuration: Configuration, axis: Array, turn_angle: ArrayLike) -> Array:
    """Return the speed of the pinion over that of the output.

    Args:
        configuration: Its joints and phases.
        axis: Unit axes of all members, shape (S, M, 3), as in ``Postures``.
        turn_angle: Rotation of the output [rad], shape (T,).

    Returns:
        Speed ratios [-], shape (S, T).

    Example:
        >>> from sim.scene.reader import load_scene
        >>> truck = load_scene("scenes/orchard_service_truck.toml").configuration("two-piece")
        >>> from sim.motion.postures import postures
        >>> separable_ratio(truck, postures(truck, [0.0]).axis, [0.0]).shape
        (1, 1)
    """
    theta = np.asarray(turn_angle, float)
    planes = pin_planes(
        axis, phases_of(configuration), kinds_of(configuration), shares_of(configuration)
    )
    waves = np.ascontiguousarray(speed_waves(planes)[:, -1])
    doubled = np.stack([np.ones_like(theta), np.cos(2 * theta), np.sin(2 * theta)])
    ratio = np.empty((len(waves), len(theta)))
    for start in range(0, len(waves), ROWS):
        rows = ratio[start : start + ROWS]
        np.matmul(waves[start : start + ROWS], doubled, out=rows)
        np.reciprocal(rows, out=rows)
    return ratio
