"""Measurements as a table: one row a state, one column a quantity with its unit in its name.

``sweep.csv`` holds rounded values, ``sweep.json`` units and meanings too.  Same scene, same bits.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sim.display import (
    ACCELERATION,
    DEGREES,
    PERCENT,
    SHAFT_SPEED,
    Display,
    DisplayName,
    Unit,
    display_of,
)
from sim.measure.measurements import Acceleration, Measurements
from sim.show.common_speed import at_common_speed
from sim.show.files import write_text
from sim.show.load_columns import load_columns

Cell = str | float | int | bool
_EXTRA_DIGITS = 3  # decimals more than a reader of the report needs


@dataclass(frozen=True, slots=True)
class Column:
    """One quantity in every state.

    Attributes:
        name: Unique, with its unit at the end, as in "joint_1_angle_deg".
        unit: As printed, "" for words, "-" for pure numbers.
        meaning: One sentence, with the sign where there is one.
        values: One a state.
    """

    name: str
    unit: str
    meaning: str
    values: tuple[Cell, ...]


def table(measurements: Measurements, display: DisplayName = "metric") -> tuple[Column, ...]:
    """Return every measurement that belongs to a state, in columns.

    Args:
        measurements: What was measured.
        display: Units of lengths, road speeds and torques.

    Returns:
        Columns of S values each, states first.
    """
    return (
        *_states(measurements, display),
        *_members(measurements),
        *_joints(measurements),
        *_spline(measurements, display),
        *_smoothness(measurements),
        *_phases(measurements),
        *(_column(*entry) for entry in load_columns(measurements, display_of(display))),
        *_accelerations(measurements.acceleration, "", "at the road speed of the state"),
        *_accelerations(*_at_common_speed(measurements, display_of(display))),
    )


def write_tables(
    measurements: Measurements, folder: Path, display: DisplayName = "metric"
) -> tuple[Path, ...]:
    """Write ``sweep.csv`` and ``sweep.json``.

    Args:
        measurements: What was measured.
        folder: Where they belong, as in outputs/<scene>/<configuration>.
        display: Units of lengths, road speeds and torques.

    Returns:
        The files written.
    """
    columns = table(measurements, display)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(column.name for column in columns)
    writer.writerows(zip(*(column.values for column in columns), strict=True))
    head = {
        "configuration": measurements.configuration.name,
        "states": len(measurements.states),
        "columns": [
            {"name": c.name, "unit": c.unit, "meaning": c.meaning, "values": c.values}
            for c in columns
        ],
    }
    return (
        write_text(folder / "sweep.csv", text.getvalue()),
        write_text(folder / "sweep.json", json.dumps(head, indent=1, ensure_ascii=False) + "\n"),
    )


def member_names(shafts: int) -> tuple[str, ...]:
    """Return the names of the members from the front: output, shafts, pinion."""
    return ("output", *(f"shaft_{n}" for n in range(1, shafts + 1)), "pinion")


def _column(name: str, unit: Unit, meaning: str, values: NDArray[np.float64]) -> Column:
    """Return a column of SI values, in a unit and rounded."""
    cells = tuple(
        float(round(unit.of(float(value)), unit.digits + _EXTRA_DIGITS)) + 0.0 for value in values
    )
    return Column(f"{name}_{unit.suffix}", unit.name, meaning, cells)


def _words(name: str, meaning: str, values: Iterable[Cell], unit: str = "") -> Column:
    """Return a column of words, counts or truths."""
    return Column(name, unit, meaning, tuple(values))


def _states(m: Measurements, display: DisplayName) -> Iterator[Column]:
    """Return what the states are."""
    units, states = display_of(display), m.states

    def every(name: str) -> NDArray[np.float64]:
        return np.array([getattr(state, name) for state in states], float)

    yield _words("state", "The state in words", (s.say(display) for s in states))
    yield _words(
        "height", "Name of the axle height, empty between them", (s.height for s in states)
    )
    yield _words("case", "Name of the torque case", (state.case for state in states))
    yield _column(
        "travel", units.length, "Axle travel from ride height, bump positive", every("travel")
    )
    yield _column("roll", DEGREES, "Roll of the axle, right side up positive", every("roll"))
    yield _column(
        "wheel_torque", units.torque, "Both wheels together, drive positive", every("wheel_torque")
    )
    yield _column(
        "shaft_torque", units.torque, "Torque in the shaft, drive positive", every("shaft_torque")
    )
    yield _words(
        "turning",
        "1 where the shafts may turn, 0 where they may not",
        (int(s.turning) for s in states),
        "-",
    )
    yield _column(
        "road_speed", units.speed, "Road speed that belongs to the state", every("road_speed")
    )
    yield _column("shaft_speed", SHAFT_SPEED, "Mean shaft speed at it", m.shaft_speed)


def _members(m: Measurements) -> Iterator[Column]:
    """Return slope and plan angle of every member."""
    for i, name in enumerate(member_names(m.slope.shape[1] - 2)):
        words = name.replace("_", " ")
        yield _column(
            f"{name}_slope",
            DEGREES,
            f"Slope of the {words} to the frame, front end high positive",
            m.slope[:, i],
        )
        yield _column(
            f"{name}_plan",
            DEGREES,
            f"Plan angle of the {words}, to the right toward the rear positive",
            m.plan[:, i],
        )


def _joints(m: Measurements) -> Iterator[Column]:
    """Return the true angle of every joint and its two parts."""
    for j in range(m.joint_angle.shape[1]):
        name = f"joint_{j + 1}"
        yield _column(
            f"{name}_angle", DEGREES, f"True joint angle of joint {j + 1}", m.joint_angle[:, j]
        )
        yield _column(
            f"{name}_side",
            DEGREES,
            f"Side-view part of the angle of joint {j + 1}",
            m.side_angle[:, j],
        )
        yield _column(
            f"{name}_plan",
            DEGREES,
            f"Plan-view part of the angle of joint {j + 1}",
            m.plan_angle[:, j],
        )


def _spline(m: Measurements, display: DisplayName) -> Iterator[Column]:
    """Return wrap, and slip, gap and engaged length."""
    unit = display_of(display).length
    yield _column(
        "wrap", DEGREES, "Turn of the pinion by torque at the same travel, nose up positive", m.wrap
    )
    yield _column(
        "slip", unit, "Slip of the spline from ride height, drawing apart positive", m.slip
    )
    yield _column("gap", unit, "Gap left to bottoming; below 0 the parts cannot be there", m.gap)
    yield _column(
        "engaged", unit, "Engaged length of the spline; below 0 it has pulled out", m.engaged
    )


def _smoothness(m: Measurements) -> Iterator[Column]:
    """Return fluctuation and second order of every shaft and of the pinion."""
    for i, name in list(enumerate(member_names(m.slope.shape[1] - 2)))[1:]:
        words = name.replace("_", " ")
        yield _column(
            f"{name}_fluctuation_peak_to_peak",
            PERCENT,
            f"Speed fluctuation of the {words} over a turn, peak to peak, of the mean",
            m.fluctuation[:, i],
        )
        yield _column(
            f"{name}_second_order_zero_to_peak",
            PERCENT,
            f"Amplitude of the twice-per-turn part of the {words}'s speed, zero to peak",
            m.second_order[:, i],
        )
        yield _column(
            f"{name}_second_order_phase",
            DEGREES,
            "Phase ψ of that part: speed = 1 + A cos(2θ + ψ), θ the turn of the output",
            m.second_order_phase[:, i],
        )


def _phases(m: Measurements) -> Iterator[Column]:
    """Return the phase that would suit every shaft."""
    for i in range(m.matched_phase.shape[1]):
        name = f"shaft_{i + 1}"
        yield _column(
            f"{name}_matched_phase",
            DEGREES,
            f"Phase between the yokes of shaft {i + 1} that would suit its two joint planes",
            m.matched_phase[:, i],
        )
        yield _column(
            f"{name}_phase_error",
            DEGREES,
            f"Phase as built less matched phase of shaft {i + 1}",
            m.phase_error[:, i],
        )
        yield _words(
            f"{name}_phase_known",
            "1 where both of its joints bend enough that the matched phase means something",
            (int(known) for known in m.phase_known[:, i]),
            "-",
        )


def _at_common_speed(m: Measurements, display: Display) -> tuple[Acceleration, str, str]:
    number = display.speed.number(display.common_speed)
    ending, words = f"_at_{number}_{display.speed.suffix}", f"at {number} {display.speed.name}"
    return at_common_speed(m, display), ending, words


def _accelerations(a: Acceleration, ending: str, speed: str) -> Iterator[Column]:
    """Return the angular accelerations at one choice of speed."""

    def one(name: str, meaning: str, values: NDArray[np.float64]) -> Column:
        column = _column(name, ACCELERATION, f"{meaning}, zero to peak, {speed}", values)
        return Column(
            f"{name}{ending}_{ACCELERATION.suffix}", column.unit, column.meaning, column.values
        )

    yield one("pinion_uneven", "Angular acceleration of the pinion at steady output", a.torsional)
    yield one(
        "shaft_uneven_under_drive",
        "Largest angular acceleration of a shaft at steady output",
        a.inertial_drive,
    )
    yield _words(
        f"shaft_uneven_under_drive_shaft{ending}",
        "Number of the shaft that has it, from the front",
        (int(n) for n in a.drive_shaft),
        "-",
    )
    yield one(
        "shaft_uneven_on_the_overrun",
        "Largest angular acceleration of a shaft at steady pinion",
        a.inertial_coast,
    )
    yield _words(
        f"shaft_uneven_on_the_overrun_shaft{ending}",
        "Number of the shaft that has it, from the front",
        (int(n) for n in a.coast_shaft),
        "-",
    )
