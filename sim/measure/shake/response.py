r"""Forces into the supports of a row of shafts that is shaken at one frequency.

With the receptance of the free row between its places, :math:`H_{pq} = \sum_k
\phi_{pk} \phi_{qk} / (\omega_k^2 (1 + j\eta_t) - \omega^2)`, and the deflection that the load alone
would give, :math:`q_0`, supports of dynamic stiffness :math:`\kappa = k (1 + j\eta) - \omega^2 m`
carry

.. math:: (H + \operatorname{diag}(1/\kappa))\, F = q_0

A rigid support has :math:`1/\kappa = 0`.  What passes on behind a mass on the support is
:math:`F\, k (1 + j\eta)/\kappa`.  Amplitudes are complex, zero to peak; time runs as exp(jωt).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Array
from sim.measure.shake.row import Row

Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Supports:
    """What holds the places of B rows in one plane; P places."""

    stiffness: Array  # [N/m], infinite: rigid, (B, P)
    loss: Array  # loss factor [-], (B, P)
    mass: Array  # that moves with the place [kg], (B, P)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shaken:
    """The free row at some frequencies: how its places give, and how they move by the load."""

    give: NDArray[Any]  # deflection per force [m/N], (B, V, P, P)
    moved: NDArray[Any]  # by the load alone [m], (B, V, P, C)


def shaken(row: Row, load: Array, frequency: Array, loss: Array | float) -> Shaken:
    """Return how a free row answers to C loads of size 1.

    Args:
        row: B rows.
        load: In every mode [N/√kg], (B, K, C).
        frequency: Of the shake [rad/s], above 0, (B, V), or (1, V) for all.
        loss: Loss factor of the tubes [-], (B,) or a number; 0 for what turns with the shaft.

    Returns:
        What its places do [m/N], [m].
    """
    square = row.square[:, None, :]
    damped = square * (1 + 1j * np.reshape(loss, (-1, 1, 1))) if np.any(loss) else square
    mobile = 1 / (damped - frequency[:, :, None] ** 2)
    there = row.place.swapaxes(1, 2)  # (B, K, P)
    acting = np.concatenate([there, load], axis=2)
    product = (there[..., None] * acting[:, :, None]).reshape(*there.shape[:2], -1)
    moved = (mobile @ product).reshape(*mobile.shape[:2], there.shape[2], -1)
    places = there.shape[2]
    return Shaken(give=moved[..., :places], moved=moved[..., places:])


def support_forces(
    free: Shaken, moved: NDArray[Any], supports: Supports, frequency: Array
) -> Complex:
    """Return the force into every support [N], complex amplitudes (B, V, P, C).

    Args:
        free: From ``shaken``, at the same frequencies.
        moved: How its places would move by C loads without supports [m], (B, V, P, C): sums of
            ``free.moved`` for what loads together.
        supports: In the plane of the load.
        frequency: Of the shake [rad/s], as there.

    Returns:
        What passes on into the frame behind the mass of each support.
    """
    rigid = np.isinf(supports.stiffness)
    spring = np.where(rigid, 1.0, supports.stiffness) * (1 + 1j * supports.loss)
    inert = (supports.mass * ~rigid)[:, None] * frequency[..., None] ** 2
    dynamic = spring[:, None] - inert
    soft = np.where(rigid[:, None], 0.0, 1 / dynamic)
    place = np.arange(soft.shape[-1])
    shape = np.broadcast_shapes(free.give.shape, (*soft.shape, len(place)))
    whole = np.array(np.broadcast_to(free.give, shape), complex)
    whole[..., place, place] += soft
    held = np.linalg.solve(whole, moved)
    return np.asarray(held * np.where(rigid[:, None], 1.0, spring[:, None] * soft)[..., None])


def longest(aside: NDArray[Any], upright: NDArray[Any]) -> Array:
    r"""Return the amplitude in the longest direction of what two planes shake together.

    .. math:: \sqrt{(|p|^2 + |q|^2 + |p^2 + q^2|) / 2}

    Complex amplitudes p, q of any one unit, which broadcast.

    Source:
        Long half axis of an ellipse given by two phasors; any text on polarization.
    """
    p, q = aside, upright
    square = np.abs(p) ** 2 + np.abs(q) ** 2 + np.abs(p * p + q * q)
    return np.asarray(np.sqrt(square / 2))
