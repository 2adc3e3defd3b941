"""Columns of the tables that speak of loads: couples at the joints, bearings, friction."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sim.display import DEGREES, Display, Unit
from sim.measure.measurements import Measurements

Entry = tuple[str, Unit, str, NDArray[np.float64]]


def load_columns(m: Measurements, display: Display) -> Iterator[Entry]:
    """Yield name, unit, meaning and SI values of every load that belongs to a state.

    Args:
        m: What was measured.
        display: Units of forces and torques.

    Yields:
        Joints from the front, then bearings, then the spline.
    """
    for j in range(m.loads.driving_couple.shape[1]):
        for side, which, values in (
            ("ahead of", "ahead", m.loads.driving_couple),
            ("behind", "behind", m.loads.driven_couple),
        ):
            meaning = f"Largest couple over a turn that bends the member {side} joint {j + 1}"
            yield f"joint_{j + 1}_couple_{which}", display.torque, meaning, values[:, j]
    for b in range(m.loads.bearing.peak.shape[1]):
        yield from _bearing(m, display, b)
    if m.loads.spline is not None:
        meaning = "Axial force with which the spline resists sliding under torque"
        yield "spline_friction", display.force, meaning, m.loads.spline


def _bearing(m: Measurements, display: Display, b: int) -> Iterator[Entry]:
    """Yield the columns of one bearing."""
    load, name, force = m.loads.bearing, f"bearing_{b + 1}", display.force
    of = f"force on center bearing {b + 1}"
    steady = np.linalg.norm(load.steady[:, b], axis=-1)
    yield f"{name}_steady", force, f"Steady {of} by torque", steady
    twice = f"Amplitude of the twice-per-turn {of} by torque"
    yield f"{name}_twice_per_turn_zero_to_peak", force, twice, load.second[:, b]
    yield f"{name}_weight", force, f"Weight on center bearing {b + 1}", load.weight[:, b]
    largest = f"Largest {of} by torque and weight over a turn"
    yield f"{name}_largest", force, largest, load.largest[:, b]
    for grade, values in (("g16", m.loads.unbalance[..., 0]), ("g40", m.loads.unbalance[..., 1])):
        meaning = f"Once-per-turn {of}, shafts balanced to {grade.upper()} at top speed"
        yield f"{name}_unbalance_{grade}", force, meaning, values[:, b]
    tilt = f"Angle of the shaft to the square of the bracket of center bearing {b + 1}"
    yield f"{name}_tilt", DEGREES, tilt, load.tilt[:, b]
    gives = f"How far the rubber of center bearing {b + 1} gives way"
    yield f"{name}_across", display.fine, f"{gives} across the shaft", load.across[:, b]
    yield f"{name}_along", display.fine, f"{gives} along the shaft, aft positive", load.along[:, b]
    axial = f"Force along the shaft for which center bearing {b + 1} gives way so far"
    yield f"{name}_axial", force, axial, load.axial[:, b]
