"""What rules look at of whirl: the road speed that a shaft's critical speed leaves."""

from __future__ import annotations

import numpy as np

from sim.judge.part import Array, Part, Where
from sim.measure.numbers import Numbers
from sim.units import ROAD_SPEED, TURN, factor

KMH = factor(ROAD_SPEED, "km/h")
WALK = 5.0  # [km/h]


def whirl_limit(n: Numbers) -> list[Part]:
    """Road speed [km/h] at the share of the critical speed that may be used, against top speed."""
    return _limits(n, n.critical_speed)


def beam_whirl_limit(n: Numbers) -> list[Part]:
    """Road speed [km/h] at the share of the beam model's critical speed, bearings in rubber."""
    return [] if n.deep is None else _limits(n, n.deep.beam_speed)


def bearing_once_a_turn(n: Numbers) -> list[Part]:
    """Road speed [km/h] at which unbalance meets the frequency of a bearing on its rubber.

    Below walking pace nothing is felt: there it counts as not met.
    """
    if n.deep is None:
        return []
    vehicle = n.configuration.vehicle
    per_turn = np.asarray(vehicle.tire_circumference) / vehicle.axle_ratio
    speeds = (mode / TURN * per_turn / KMH for mode in n.deep.bearing_mode.T)
    return [
        Part(
            where=Where(kind="bearing", number=number),
            values=np.where(np.isfinite(speed) & (speed >= WALK), speed, np.nan)[:, None],
            why=assumed_rubber(n, number),
        )
        for number, speed in enumerate(speeds, start=1)
    ]


def assumed_rubber(n: Numbers, number: int) -> str:
    """Return that the stiffness of a bearing's rubber is assumed, "" where it was measured."""
    reading = n.configuration.readings.get(f"bearing.{number}.radial")
    return f"rubber assumed {reading.text}" if reading and reading.status != "measured" else ""


def _limits(n: Numbers, critical: Array) -> list[Part]:
    """Return the usable road speed of every shaft [km/h], from critical speeds (B, N)."""
    vehicle, share = n.configuration.vehicle, n.configuration.limits.safe_share
    per_turn = np.asarray(vehicle.tire_circumference) / vehicle.axle_ratio
    top = np.atleast_1d(np.asarray(vehicle.top_speed, float))
    return [
        Part(
            where=Where(kind="shaft", number=number),
            values=(share * speed / TURN * per_turn / KMH)[:, None],
            limit=top[:, None] / KMH,
        )
        for number, speed in enumerate(critical.T, start=1)
    ]
