r"""What loads a row of shafts: joints twice per turn; unbalance and bow once per turn.

A joint's moment M turns the front end of the shaft behind it and holds the rear end of the shaft
ahead.  Gearbox and axle turn about their own centers, so at the ends of the row it acts as a force
over the lever to that center.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.measure.shake.couples import Complex, JointWaves, across_planes
from sim.measure.shake.row import Row


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CoupleLoads:
    """Loads by the joints twice per turn; C = 2 N + 2 of them."""

    pattern: Array  # load of size 1 in every mode [1/√kg], (B, K, C)
    # sizes, aside and upright: per torque in the output [-], per speed squared [kg m²], (B, C, 2);
    # those of gearbox and axle over their levers
    by_torque: Complex
    by_speed: Complex


def cruising(full: CoupleLoads, idle: CoupleLoads, share: Array) -> tuple[Complex, Complex]:
    """Return the sizes of loads as a vehicle cruises: its joints stand between two postures.

    Args:
        full: Of B postures at the torque of the cruise case.
        idle: Of the same without torque.
        share: Torque at V road speeds over that of the case [-], (B, V) or (1, V).

    Returns:
        As ``by_torque`` and ``by_speed``, (B, V, C, 2).
    """
    way = share[..., None, None]
    by_torque = full.by_torque[:, None] * way + idle.by_torque[:, None] * (1 - way)
    by_speed = full.by_speed[:, None] * way + idle.by_speed[:, None] * (1 - way)
    return by_torque, by_speed


def couple_loads(row: Row, waves: JointWaves, levers: tuple[ArrayLike, ArrayLike]) -> CoupleLoads:
    """Return the loads by the joints of B postures.

    Args:
        row: Of these postures.
        waves: Of their joints.
        levers: Center of the gearbox to the first joint, last joint to the axle's center [m], each
            (B,) or a number.
    """
    ends = row.joint[:, [0, -1]]
    pattern = np.concatenate([row.front_slope, row.rear_slope, ends], axis=1).swapaxes(1, 2)
    sizes = (_sizes(moment, waves.axis, levers) for moment in (waves.by_torque, waves.by_speed))
    by_torque, by_speed = sizes
    return CoupleLoads(pattern=pattern, by_torque=by_torque, by_speed=by_speed)


def _sizes(moment: Complex, axis: Array, levers: tuple[ArrayLike, ArrayLike]) -> Complex:
    """Return the sizes of all loads, (B, C, 2)."""
    front = across_planes(moment[:, :-1], axis[:, 1:-1])
    rear = -across_planes(moment[:, 1:], axis[:, 1:-1])
    output = -across_planes(moment[:, :1], axis[:, :1]) / np.reshape(levers[0], (-1, 1, 1))
    pinion = -across_planes(moment[:, -1:], axis[:, -1:]) / np.reshape(levers[1], (-1, 1, 1))
    return np.concatenate([front, rear, output, pinion], axis=1)


def turning_loads(row: Row, unbalance: Array, bow: Array) -> tuple[Array, Array]:
    r"""Return the loads once per turn, a part that stays and a part times speed squared.

    Half of the unbalance of a shaft turns at each of its ends, a bent shaft was balanced by a mass
    at each end after it was bent: in the plane aside, and a quarter turn later upright.

    Args:
        row: B rows.
        unbalance: Of every shaft [kg m], (B, N).
        bow: Of every shaft at mid-length [m], (B, N).

    Returns:
        Loads in every mode, each alone in its worst phase, (B, K, 3 N): front ends, rear ends,
        bows.  The first is in [N/√kg], the second per speed squared [N s²/√kg].

    Source:
        Two alike planes: ISO 21940-11; the bow: derived in DEVELOPERS.md, shake.
    """
    half = unbalance[..., None] / 2
    ends = np.concatenate([half * row.joint[:, :-1], half * row.joint[:, 1:]], axis=1)
    held, balance = bow[..., None] * row.bow_held, bow[..., None] * row.bow_balance
    stays = np.concatenate([np.zeros_like(ends), held], axis=1)
    grows = np.concatenate([ends, balance], axis=1)
    return stays.swapaxes(1, 2), grows.swapaxes(1, 2)
