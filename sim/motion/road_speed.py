"""Which road speed belongs to which state."""

from __future__ import annotations

from math import tau
from typing import Any

import numpy as np

from sim.motion.torque import AXLE_EFFICIENCY, TRANSMISSION_EFFICIENCY, TorqueLoad
from sim.scene.parts import Configuration, TorqueCase

FAST_SHARE = 0.5  # share of droop or bump up to which the vehicle is driven at top speed


def road_speed(
    configuration: Configuration, case: TorqueCase, load: TorqueLoad, travel: float
) -> Any:
    """Return the road speed of a state in which the shafts turn.

    With no torque, or one that the engine holds in top gear: top speed within half of the travel,
    falling evenly to the speed of full travel.  With more: first gear at cut-off.

    Args:
        configuration: Its vehicle, travel and setting for full travel.
        case: The torque case; a speed that it gives is used as it is.
        load: Its torques.
        travel: Mean axle travel [m].

    Returns:
        Road speed [m/s]; one for every sample where the configuration is of samples.

    Source:
        First gear at cut-off is an upper bound; the speed at full travel is common practice, no
        source.
    """
    if case.road_speed is not None:
        return case.road_speed
    fast = _drives_fast(configuration, load)
    if np.all(fast):
        return _speed_over_travel(configuration, travel)
    vehicle = configuration.vehicle
    if vehicle.engine_cut_off is None or vehicle.first_gear is None:
        slow: Any = configuration.full_travel_speed
    else:
        turns = vehicle.engine_cut_off / vehicle.first_gear / vehicle.axle_ratio / tau  # of a wheel
        slow = turns * vehicle.tire_circumference
    return np.where(fast, _speed_over_travel(configuration, travel), slow) if np.any(fast) else slow


def _drives_fast(configuration: Configuration, load: TorqueLoad) -> Any:
    """Say whether a case is driven in top gear."""
    if load.name in ("hard launch", "engine braking"):
        return False
    if load.name in ("at rest", "cruise") or np.all(load.wheel_torque == 0):
        return True
    vehicle = configuration.vehicle
    if vehicle.engine_torque is None:
        return False
    ratio = vehicle.top_gear * vehicle.axle_ratio
    in_top = vehicle.engine_torque * ratio * TRANSMISSION_EFFICIENCY * AXLE_EFFICIENCY
    return np.abs(load.wheel_torque) <= in_top


def _speed_over_travel(configuration: Configuration, travel: float) -> Any:
    """Return top speed near ride height, falling evenly to the speed of full travel."""
    top, slow = configuration.vehicle.top_speed, configuration.full_travel_speed
    if configuration.travel is None:
        return top
    whole = np.where(np.asarray(travel) > 0, configuration.travel.bump, configuration.travel.droop)
    share = np.minimum(np.abs(travel) / np.where(whole > 0, whole, np.inf), 1.0)
    fall = np.maximum(0.0, (share - FAST_SHARE) / (1 - FAST_SHARE))
    speed = top + fall * (np.minimum(slow, top) - top)
    return speed if np.ndim(speed) else float(speed)
