"""Which road speed belongs to which state."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.motion.torque import TorqueLoad
from sim.scene.parts import Configuration, Height
from sim.scene.values import plain

FAST_SHARE = 0.5  # share of droop or bump up to which the vehicle is driven at top speed


def road_speed(load: TorqueLoad, over_travel: Any) -> Any:
    """Return the highest road speed of a turning state [m/s]: its torque's, or its height's."""
    return plain(np.where(np.isinf(load.road_speed), over_travel, load.road_speed))


def speed_over_travel(configuration: Configuration, height: Height) -> Any:
    """Return the highest road speed at a height where torque does not decide [m/s].

    Top speed within half of the travel, falling evenly to the speed of full travel, the wheel
    nearer to its stop deciding: common practice, no source.
    """
    top, travel, share = configuration.vehicle.top_speed, configuration.travel, 0.0
    if travel is None:
        return top
    for wheel in (height.left, height.right):
        whole = np.where(np.asarray(wheel) > 0, travel.bump, travel.droop)
        gone = np.abs(wheel) / np.where(whole > 0, whole, np.inf)
        share = np.maximum(share, np.minimum(gone, 1.0))
    fall = np.maximum(0.0, (share - FAST_SHARE) / (1 - FAST_SHARE))
    return top + fall * (np.minimum(configuration.full_travel_speed, top) - top)
