"""What rules look at of whirl by the beam model, and of the speed that the engine can give."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from sim.judge.part import Part, States
from sim.measure.measurements import Measurements

KMH = 3.6
RPM = math.pi / 30


def beam_whirl_limit(m: Measurements, chosen: States) -> list[Part]:
    """Road speed [km/h] at the share of the beam's critical speed, against top speed."""
    return [
        Part(
            where=f"shaft {shaft.shaft}",
            values=np.array([shaft.safe_road_speed * KMH]),
            states=(None,),
            limit=m.configuration.vehicle.top_speed * KMH,
        )
        for shaft in m.whirl.shafts
    ]


def engine_against_whirl(m: Measurements, chosen: States) -> list[Part]:
    """Highest shaft speed of the engine in top gear [rpm], against the share of critical."""
    fastest = m.whirl.engine_speed
    if fastest is None:
        return []
    share = m.configuration.limits.safe_share
    return [
        Part(
            where=f"shaft {critical.shaft}",
            values=np.array([fastest / RPM]),
            states=(None,),
            limit=share * critical.speed / RPM,
        )
        for critical in m.critical_speeds
    ]


QUANTITIES: dict[str, Callable[[Measurements, States], list[Part]]] = {
    "whirl limit, beam": beam_whirl_limit,
    "engine against whirl": engine_against_whirl,
}
