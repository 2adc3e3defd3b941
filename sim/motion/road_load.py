"""What holds a vehicle back on the level, and so what torque a cruise asks for."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.arrays import Array
from sim.scene.parts import Configuration

# Common practice, no source.
ROLLING_RESISTANCE = 0.012
AIR_DENSITY = 1.2  # [kg/m³]
CAR_DRAG_AREA, TRUCK_DRAG_AREA = 0.7, 1.5  # drag coefficient times frontal area [m²]
WEIGHT_OVER_AXLE_LOAD = 2.0


def cruise_share(configuration: Configuration, speed: Array) -> Array:
    """Return the torque of cruising at road speeds [m/s] over that of the cruise case [-].

    On the level; the same at all speeds where the axle load is not known.  Speeds (V,), or those
    of each design (B, V), give (B, V); (V,) of one design (1, V).
    """
    vehicle = configuration.vehicle
    if vehicle.axle_load is None:
        return np.ones_like(np.atleast_2d(speed))
    case = next((c for c in configuration.torque_cases if c.name == "cruise"), None)
    fixed = vehicle.top_speed if case is None or case.road_speed is None else case.road_speed
    there, full = (
        road_load(configuration, vehicle.axle_load, at) for at in (np.atleast_2d(speed).T, fixed)
    )
    return np.asarray(np.moveaxis(there / full, 0, -1))


def drag_area(configuration: Configuration) -> float:
    """Return drag coefficient times frontal area [m²]."""
    return CAR_DRAG_AREA if configuration.on_frame else TRUCK_DRAG_AREA


def road_load(configuration: Configuration, axle_load: Any, speed: Any) -> Any:
    """Return what holds the vehicle back on the level at a road speed [N]."""
    weight = WEIGHT_OVER_AXLE_LOAD * axle_load
    return ROLLING_RESISTANCE * weight + 0.5 * AIR_DENSITY * drag_area(configuration) * speed**2
