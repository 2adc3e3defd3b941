"""Which road speed belongs to which state."""

from __future__ import annotations

from math import tau
from typing import Any

import numpy as np

from sim.motion.torque import BRAKING_SHARE, TorqueLoad, top_gear_wheel
from sim.scene.parts import Configuration, Height, TorqueCase, Travel
from sim.scene.values import plain

FAST_SHARE = 0.5  # share of droop or bump up to which the vehicle is driven at top speed
PULLED_AWAY = 40 / 3.6  # [m/s], up to which an everyday pull-away lasts; our proposal


def road_speed(
    configuration: Configuration, case: TorqueCase, load: TorqueLoad, height: Height
) -> Any:
    """Return the highest road speed of a state in which the shafts turn.

    Without torque, with cruise torque, or with what the engine drags in top gear: top speed within
    half of the travel, falling evenly to the speed of full travel, the wheel nearer to its stop
    deciding. With more: first gear at cut-off; an everyday pull-away lasts up to 40 km/h. Never
    more than top speed. A speed that the case gives is used as it is [m/s].

    Source:
        First gear at cut-off is an upper bound; the speeds at full travel and of a pull-away are
        common practice, no source.
    """
    if case.road_speed is not None:
        return case.road_speed
    calm = (load.kind == "no torque") | (load.kind == "cruise")
    fast = calm | _drags_in_top_gear(configuration, load)
    vehicle = configuration.vehicle
    if vehicle.engine_cut_off is None or vehicle.first_gear is None:
        first = configuration.full_travel_speed
    else:
        turns = vehicle.engine_cut_off / vehicle.first_gear / vehicle.axle_ratio / tau  # of a wheel
        first = turns * vehicle.tire_circumference
    held = np.where(load.kind == "pull-away", PULLED_AWAY, np.inf)
    geared = np.minimum(np.minimum(first, vehicle.top_speed), held)
    return plain(np.where(fast, _speed_over_travel(configuration, height), geared))


def _drags_in_top_gear(configuration: Configuration, load: TorqueLoad) -> Any:
    """Say whether an overrun is driven in top gear; that of engine braking is in first."""
    top = top_gear_wheel(configuration)
    if load.name == "engine braking" or top is None:
        return False
    return (load.kind == "overrun") & (np.abs(load.wheel_torque) <= BRAKING_SHARE * top)


def _speed_over_travel(configuration: Configuration, height: Height) -> Any:
    """Return top speed near ride height, falling evenly to the speed of full travel."""
    top, slow = configuration.vehicle.top_speed, configuration.full_travel_speed
    if configuration.travel is None:
        return top
    share = np.maximum(
        *(_share(configuration.travel, wheel) for wheel in (height.left, height.right))
    )
    fall = np.maximum(0.0, (share - FAST_SHARE) / (1 - FAST_SHARE))
    return top + fall * (np.minimum(slow, top) - top)


def _share(travel: Travel, wheel: Any) -> Any:
    """Return the share of its droop or bump that a wheel has travelled, at most 1 [-]."""
    whole = np.where(np.asarray(wheel) > 0, travel.bump, travel.droop)
    return np.minimum(np.abs(wheel) / np.where(whole > 0, whole, np.inf), 1.0)
