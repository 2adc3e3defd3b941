"""What rules look at of whirl: the road speed that a shaft's critical speed leaves."""

from __future__ import annotations

import math

import numpy as np

from sim.judge.part import Array, Part, Where
from sim.measure.numbers import Numbers

KMH = 3.6


def whirl_limit(n: Numbers) -> list[Part]:
    """Road speed [km/h] at the share of the critical speed that may be used, against top speed."""
    return _limits(n, n.critical_speed)


def beam_whirl_limit(n: Numbers) -> list[Part]:
    """The same of the beam model, bearings in their rubber [km/h]."""
    return [] if n.deep is None else _limits(n, n.deep.beam_speed)


def _limits(n: Numbers, critical: Array) -> list[Part]:
    """Return the usable road speed of every shaft [km/h], from critical speeds (B, N)."""
    vehicle, share = n.configuration.vehicle, n.configuration.limits.safe_share
    per_turn = np.asarray(vehicle.tire_circumference) / vehicle.axle_ratio
    top = np.atleast_1d(np.asarray(vehicle.top_speed, float))
    return [
        Part(
            where=Where(kind="shaft", number=number),
            values=(KMH * share * speed / (2 * math.pi) * per_turn)[:, None],
            limit=KMH * top[:, None],
        )
        for number, speed in enumerate(critical.T, start=1)
    ]
