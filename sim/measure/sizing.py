"""What joints are sized by, low gear and wheel slip by the published method; and rated for.

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
from sim.motion.sweep import most_load
from sim.scene.parts import Configuration
from sim.scene.values import plain

# What light joint series stand for short [N m], weakest first.  From memory: confirm on the maker's
# sheet.
SERIES = {
    "1310": 1085.0,
    "1330": 1207.0,
    "1350": 1680.0,
    "1410": 2034.0,
    "1480": 2657.0,
    "1550": 3593.0,
}
DISPUTED = "1480"  # others say less: it is never proposed
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
    lesser: float | None  # of low gear and wheel slip
    road: float | None  # but no more than one series below low gear, by what series stand for
    by_capacity: bool  # whether wheel slip is that of the capacity, else of the largest load known


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
    gears = np.asarray(gear, float) * stall * np.asarray(transfer, float) * passes
    return np.asarray(np.where(stall > 1, AUTOMATIC, MANUAL) * gears * engine)


def wheel_slip_torque(load: ArrayLike, rolling_radius: ArrayLike, axle_ratio: ArrayLike) -> Array:
    r"""Return the torque in the shaft at which the wheels slip.

    .. math:: WST = \frac{0.71 \, W \, RR}{0.95 \, AR}

    Load that the axle may carry W [N], rolling radius RR [m] and axle ratio AR [-] give [N m].

    Source:
        Spicer J3311, joint sizing, printed p. 2: 0.71 W RR/(11.4 AR) in lbf ft of lb and in.
    """
    held = SLIP * np.asarray(load, float) * np.asarray(rolling_radius, float)
    return np.asarray(held / axle_ratio)


def road_torque(low_gear: ArrayLike, wheel_slip: ArrayLike) -> Array:
    """Return what joints on the road are sized by [N m].

    The lesser of both, but at least what the series below the one for ``low_gear`` stands for;
    beyond the table of light series, what the strongest of them stands for.

    Source:
        Spicer J3311, joint sizing, printed p. 2: not more than one series below low gear torque.
    """
    strong = np.array([0.0, *SERIES.values()])  # below the weakest there is nothing
    floor = strong[np.searchsorted(strong[1:], low_gear)]
    return np.asarray(np.maximum(np.minimum(low_gear, wheel_slip), floor))


def sizing_torques(configuration: Configuration) -> Sizing:
    """Return what the joints of a configuration are sized by."""
    v = configuration.vehicle
    low, slip = None, None
    if v.engine_torque is not None and v.first_gear is not None:
        passes = np.where(np.asarray(v.low_range) != 1, TRANSFER_CASE, 1.0)
        low = plain(low_gear_torque(v.engine_torque, v.first_gear, v.converter, 1.0, passes))
    load = most_load(configuration) if v.axle_capacity is None else v.axle_capacity
    if load is not None:
        rolling = v.tire_circumference / (2 * math.pi)
        slip = plain(wheel_slip_torque(load, rolling, v.axle_ratio))
    known = [torque for torque in (low, slip) if torque is not None]
    lesser: Any = plain(np.minimum.reduce(np.broadcast_arrays(*known))) if known else None
    road = lesser if low is None or slip is None else plain(road_torque(low, slip))
    by_capacity = v.axle_capacity is not None
    return Sizing(low_gear=low, wheel_slip=slip, lesser=lesser, road=road, by_capacity=by_capacity)


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRating:
    """What one joint stands for short."""

    joint: int  # number of the joint, from 1
    torque: float | None  # its rating [N m], or None where neither scene nor series says
    own: bool  # whether the scene gives it for this joint


def joint_ratings(configuration: Configuration) -> tuple[JointRating, ...]:
    """Return what every joint stands for short; the table is for universal joints.

    Source:
        The scene; else a table of light series from memory.
    """
    usual = SERIES.get(configuration.series or "")
    return tuple(
        JointRating(
            joint=number,
            torque=usual
            if joint.rated_torque is None and joint.of_kind.crosses == 1
            else joint.rated_torque,
            own=joint.rated_torque is not None,
        )
        for number, joint in enumerate(configuration.joints, start=1)
    )


def next_series(torque: float) -> str | None:
    """Return the weakest undisputed series that stands for a torque [N m] short, or None.

    Source:
        A table of light series from memory; the maker's sheet decides.
    """
    strong = (name for name, held in SERIES.items() if held >= torque and name != DISPUTED)
    return next(strong, None)
