"""Build sheet: readings to expect after the work, with what the rules leave, and boxes."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians

from sim.display import DisplayName
from sim.explore.allowed import Allowed, Expected
from sim.show.paper.build_words import expected_words, mark_words, window_words
from sim.show.paper.kit import Cell, Sheet

_KEY = 12.0  # size of the numbers to expect [pt]
_SAME = radians(0.05), 0.5e-3  # readings less apart than this are one: [rad], of the gap [m]


def heights_to_read(found: Allowed) -> tuple[str, ...]:
    """Return at which heights to read: full droop only where anything reads otherwise there."""
    ride, droop = found.at("ride height"), found.at("full droop")
    pairs = zip(ride, droop, strict=bool(droop))
    moves = any(abs(a.value - b.value) > _SAME[a.what == "gap"] for a, b in pairs)
    return ("ride height", "full droop") if moves else ("ride height",)


def draw_readings(sheet: Sheet, found: Allowed, rule_set: str, display: DisplayName) -> None:
    """Set the readings to expect, on the wheels and on the lift, each with a box."""
    heights = heights_to_read(found)
    sheet.space(2.5)
    sheet.heading("Read after the work: zero the angle finder on the frame rail", below=40)
    titles = {"ride height": "On its wheels", "full droop": "On the lift"}
    head = ["", *[cell for h in heights for cell in (titles[h], "may be", "read")]]
    widths = [22, *[36, 30, 18] * len(heights)]
    rows = list(_rows(found, heights, display))
    sheet.table(widths, rows, head=head)
    lift = " On the lift: axle hanging at full droop, both sides." if len(heights) > 1 else ""
    sheet.paragraph(
        f"Slopes in degrees to the frame, front end high is plus.{lift} ±: what the scene's own "
        f"readings leave open. May be: until a rule of “{rule_set}” fails, all else as "
        f"designed{mark_words(rows)}. "
        "One reading out, or two near an end: stop, and ask halfturn built with all of them."
    )


def _rows(found: Allowed, heights: tuple[str, ...], display: DisplayName) -> Iterator[list[Cell]]:
    """Yield a row for each member and one for the gap."""
    unit = "mm" if display == "metric" else "in"
    for row in zip(*(found.at(height) for height in heights), strict=True):
        cells = [Cell(_name(row[0], unit))]
        for reading in row:
            cells.append(Cell(expected_words(reading, display), _KEY, True))
            cells += [Cell(window_words(reading, display)), Cell(box=True)]
        yield cells


def _name(reading: Expected, unit: str) -> str:
    """Return what is read."""
    if reading.what == "gap":
        return f"Gap [{unit}]"
    return reading.what[:1].upper() + reading.what[1:]
