"""Road speeds at which a shaft's shake, once or twice per turn, meets a natural frequency."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from sim.scene.parts import Vehicle

ORDERS = (1, 2)  # unbalance and run-out; joints
BEYOND_TOP = 1.2  # crossings are looked for up to this many times top speed
HALF_BAND = (0.46, 0.54)  # 8 % either side of half: Cardan India, speed limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """An order of shaft speed that meets a mode."""

    mode: int  # number of the mode, from 1
    order: int  # 1 or 2, times per turn of the shaft
    shaft_speed: float  # there [rad/s]
    road_speed: float  # there [m/s]


def road_speed(vehicle: Vehicle, shaft_speed: float) -> float:
    r"""Return the road speed at which the shafts turn so fast.

    .. math:: v = \frac{\Omega}{2 \pi} \frac{U}{i}

    Of the shaft speed Ω [rad/s], the tire's circumference U [m] and the axle ratio i [-].

    Source:
        Arithmetic of a rolling tire, as in GM and Ford service manuals.
    """
    return shaft_speed / (2 * math.pi) * vehicle.tire_circumference / vehicle.axle_ratio


def find_crossings(vehicle: Vehicle, frequencies: Iterable[float]) -> tuple[Crossing, ...]:
    """Return crossings of both orders with modes [rad/s], up to 1.2 times top speed."""
    found = (
        Crossing(
            mode=number,
            order=order,
            shaft_speed=frequency / order,
            road_speed=road_speed(vehicle, frequency / order),
        )
        for number, frequency in enumerate(frequencies, start=1)
        for order in ORDERS
    )
    within = (c for c in found if c.road_speed <= BEYOND_TOP * vehicle.top_speed)
    return tuple(sorted(within, key=lambda crossing: crossing.road_speed))


def engine_limited_speed(vehicle: Vehicle) -> float | None:
    """Return the highest shaft speed of the engine in top gear [rad/s], locked; None if unknown."""
    if vehicle.engine_cut_off is None:
        return None
    return vehicle.engine_cut_off / vehicle.top_gear
