"""Orders: how often tire, shafts and engine shake at a road speed.

An order is a whole (or half) number of shakes per turn of a part.  Frequencies are in hertz.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.scene.parts import Vehicle

IDLE = 600 / 60
"""Engine turns per second below which no gear is engaged; common practice, no source."""

Part = Literal["tire", "shaft", "engine"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One order at one road speed."""

    part: Part  # what turns
    order: float  # shakes per turn of it [-]
    frequency: float  # shakes per second [Hz]
    cause: str  # what shakes so, in a few words

    @property
    def name(self) -> str:
        """As in "shaft, order 2"."""
        return f"{self.part}, order {self.order:g}"


def order_frequency(turn_rate: float, order: float) -> float:
    """Return how often an order shakes [1/s], at turns of its part per second.

    Source:
        Definition of an order, as in Ford and GM service manuals' frequency calculations.

    Example:
        >>> order_frequency(2400 / 60, 3)
        120.0
    """
    return turn_rate * order


def tire_rate(road_speed: float, circumference: float) -> float:
    """Return turns of the tire per second, of road speed [m/s] and distance rolled in a turn [m].

    Source:
        Ford F-250 2010 workshop manual, frequency calculations: tire first order.
    """
    return road_speed / circumference


def shaft_rate(tire: float, axle_ratio: float) -> float:
    """Return turns of the shafts per second, of those of the tires rolling without slip.

    Source:
        Ford F-250 2010 workshop manual, frequency calculations: tire times axle ratio.
    """
    return tire * axle_ratio


def engine_rate(shaft: float, gear: float) -> float:
    """Return turns of the engine per second: clutch or converter locked, high range.

    Source:
        Definition of a gear ratio.
    """
    return shaft * gear


def firing_order(cylinders: float) -> float:
    """Return the order of a four-stroke engine's firing: every cylinder once in two turns.

    Source:
        Brake and Front End, order math; a V8 is a fourth order (Physics Forums thread 743718).
    """
    return cylinders / 2


def orders_at(vehicle: Vehicle, road_speed: float) -> tuple[Order, ...]:
    """Return the orders of a vehicle at a road speed [m/s], tire first, in top gear.

    The firing order only where the cylinders are known; see ``IDLE`` for what the engine can do.
    """
    tire = tire_rate(road_speed, vehicle.tire_circumference)
    shaft = shaft_rate(tire, vehicle.axle_ratio)
    engine = engine_rate(shaft, vehicle.top_gear)
    listed: list[tuple[Part, float, float, str]] = [
        ("tire", tire, 1.0, "tire or wheel out of balance or out of true"),
        ("tire", tire, 2.0, "tire out of round, two high spots"),
        ("shaft", shaft, 1.0, "shaft out of balance or bent, or its flange out of true"),
        ("shaft", shaft, 2.0, "joint angles and yoke phase"),
        ("engine", engine, 1.0, "engine, clutch or converter out of balance"),
    ]
    if vehicle.cylinders is not None:
        listed.append(("engine", engine, firing_order(vehicle.cylinders), "the engine's firing"))
    return tuple(
        Order(part=part, order=order, frequency=order_frequency(rate, order), cause=cause)
        for part, rate, order, cause in listed
    )
