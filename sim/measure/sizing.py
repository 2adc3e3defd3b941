"""Torques by which joints are sized: low gear and wheel slip, by the published method.

They are gentler than the largest torque that can reach the shafts (``torsion``), which takes the
tires' grip and the load that a hard launch adds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.measure.ratings import SERIES
from sim.scene.parts import Configuration
from sim.scene.values import plain

AUTOMATIC, MANUAL = 0.80, 0.85  # transmission efficiency
TRANSFER_CASE = 0.95  # what it passes on
SLIP = 0.71 / 0.95  # share of the axle's capacity that grips, over the axle's efficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizing:
    """Torques in the shafts that joints are sized by [N m], each None where too little is known.

    Many designs have arrays of shape (B,).
    """

    low_gear: float | None  # from the engine in first gear, converter stalled, high range
    wheel_slip: float | None  # at which the wheels slip under the load of ``by_capacity``
    # what counts on the road: the lesser of low gear and wheel slip, but not so little that a joint
    # more than one series below the one for low gear would do
    road: float | None
    # whether wheel slip is that of the axle's capacity; else, where that is not known, of the load
    # that it carries now, which is less
    by_capacity: bool


def low_gear_torque(
    engine: ArrayLike,
    gear: ArrayLike,
    converter: ArrayLike,
    transfer: ArrayLike = 1.0,
    passes: ArrayLike = 1.0,
) -> Array:
    r"""Return the torque of the engine in its lowest gear at the shaft.

    .. math:: LGT = T \cdot TLGR \cdot TE \cdot SR \cdot TCR \cdot C

    Net torque T [N m], lowest ratio TLGR, stall ratio SR (1 means a clutch, and a manual
    transmission with TE 0.85, else 0.80), ratio TCR of the transfer case and what it passes on, C:
    0.95, or 1 without one [-].

    Source:
        Spicer J3311, joint sizing, printed p. 2.
    """
    stall = np.asarray(converter, float)
    gears = np.asarray(gear, float) * np.where(stall > 1, AUTOMATIC, MANUAL) * stall
    gears = gears * np.asarray(transfer, float) * passes
    return np.asarray(np.asarray(engine, float) * gears)


def wheel_slip_torque(load: ArrayLike, rolling_radius: ArrayLike, axle_ratio: ArrayLike) -> Array:
    r"""Return the torque in the shaft at which the wheels slip.

    .. math:: WST = \frac{0.71 \, W \, RR}{0.95 \, AR}

    Load that the axle may carry W [N], rolling radius RR [m] and axle ratio AR [-] give [N m].

    Source:
        Spicer J3311, joint sizing, printed p. 2: 0.71 W RR/(11.4 AR) in lbf ft of lb and in.
    """
    return np.asarray(
        SLIP * np.asarray(load, float) * np.asarray(rolling_radius, float) / axle_ratio
    )


def road_torque(low_gear: ArrayLike, wheel_slip: ArrayLike) -> Array:
    """Return what joints on the road are sized by [N m].

    The lesser of both, but at least what the series below the one for ``low_gear`` stands for;
    beyond the table of light series, what the strongest of them stands for.

    Source:
        Spicer J3311, joint sizing, printed p. 2: not more than one series below low gear torque.
    """
    strong = np.array(list(SERIES.values()))
    below = np.searchsorted(strong, low_gear) - 1
    floor = np.where(below < 0, 0.0, strong[np.maximum(below, 0)])
    return np.asarray(np.maximum(np.minimum(low_gear, wheel_slip), floor))


def sizing_torques(configuration: Configuration) -> Sizing:
    """Return what the joints of a configuration are sized by."""
    v = configuration.vehicle
    low, slip = None, None
    if v.engine_torque is not None and v.first_gear is not None:
        passes = np.where(np.asarray(v.low_range) != 1, TRANSFER_CASE, 1.0)
        low = plain(low_gear_torque(v.engine_torque, v.first_gear, v.converter, 1.0, passes))
    load = v.axle_load if v.axle_capacity is None else v.axle_capacity
    if load is not None:
        rolling = v.tire_circumference / (2 * math.pi)
        slip = plain(wheel_slip_torque(load, rolling, v.axle_ratio))
    known = [torque for torque in (low, slip) if torque is not None]
    road: Any = plain(road_torque(*known)) if len(known) == 2 else next(iter(known), None)
    return Sizing(low_gear=low, wheel_slip=slip, road=road, by_capacity=v.axle_capacity is not None)
