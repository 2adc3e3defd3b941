"""The pictures of shake as a table: a row a road speed, every place of one configuration."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np

from sim.arrays import Array
from sim.display import HERTZ, SHAFT_SPEED, Display
from sim.explore.shaken import Course, Shake
from sim.explore.shaken_bands import place_band
from sim.show.files import write_text
from sim.show.shake_view import Asked, shaft_speed

DIGITS = 3  # that a force is known to, at the most


def write_shake(
    shake: Shake, questions: tuple[Asked, ...], display: Display, folder: Path
) -> tuple[Path, ...]:
    """Write ``shake.csv``: what its pictures show of one configuration.

    Args:
        shake: Of the configuration.
        questions: What the pictures ask.
        display: Units shown.
        folder: Where it belongs, as in outputs/<scene>/<configuration>.

    Returns:
        The file written, if a picture shows the configuration.
    """
    courses = [
        (asked, course)
        for asked in questions
        for shown, course in asked.courses
        if shown.shake is shake
    ]
    if not courses:
        return ()
    speeds = np.unique(np.concatenate([course.speed for _, course in courses]))
    turning = shaft_speed(shake.configuration.vehicle, speeds)
    columns: dict[str, list[str]] = {
        f"road_speed_{display.speed.suffix}": _fixed(speeds / display.speed.size),
        f"shaft_speed_{SHAFT_SPEED.suffix}": _fixed(turning / SHAFT_SPEED.size),
        f"once_per_turn_{HERTZ.suffix}": _fixed(turning / HERTZ.size),
        f"twice_per_turn_{HERTZ.suffix}": _fixed(2 * turning / HERTZ.size),
    }
    for asked, course in courses:
        columns |= _columns(asked, course, shake.places, speeds, display)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(zip(*columns.values(), strict=True))
    return (write_text(folder / "shake.csv", text.getvalue()),)


def _columns(
    asked: Asked, course: Course, places: tuple[str, ...], speeds: Array, display: Display
) -> dict[str, list[str]]:
    """Return three columns a place, "" where there is no number."""
    at = np.searchsorted(speeds, course.speed)
    columns = {}
    for number, place in enumerate(places):
        band = place_band(course, number)
        start = f"{asked.question.column}_{place.replace(' ', '_')}"
        for end, values in (("", band.read), ("_low", band.low), ("_high", band.high)):
            cells = [""] * len(speeds)
            for row, value in zip(at.tolist(), values, strict=True):
                cells[row] = f"{float(f'{display.force.of(value):.{DIGITS}g}'):g}"
            columns[f"{start}{end}_{display.force.suffix}"] = cells
    return columns


def _fixed(values: Array) -> list[str]:
    return [f"{value:.3f}" for value in values]
