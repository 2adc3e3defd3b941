"""Accelerations at one road speed for all states, a round one in the units of the reader."""

from __future__ import annotations

from dataclasses import replace

from sim.display import METRIC, Display
from sim.measure.measurements import Acceleration, Measurements


def at_common_speed(m: Measurements, display: Display) -> Acceleration:
    """Return the accelerations at the speed at which a display compares states.

    Args:
        m: What was measured; accelerations grow with the square of the speed.
        display: Gives that speed.
    """
    a, times = m.acceleration_100, (display.common_speed / METRIC.common_speed) ** 2
    return replace(
        a,
        torsional=times * a.torsional,
        inertial_drive=times * a.inertial_drive,
        inertial_coast=times * a.inertial_coast,
    )
