"""What shakes at which speed, as lines for a terminal and as JSON for machines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import Any, Literal

from sim import units
from sim.display import METRIC, display_of
from sim.errors import DomainError
from sim.judge.complaints import likely_sources
from sim.measure.orders import IDLE, orders_at
from sim.scene.parts import Complaint, Scene
from sim.scene.quantity import QuantityError, parse
from sim.show.report.pages import Table
from sim.show.report.shakes import order_table, shake_tables, source_table
from sim.show.result import Result

WIDTH = 110
MOST_WIDE = 40  # characters of a column on a terminal; wider cells stand below their row


def complaint_of(
    speed: str | None,
    felt: str | None,
    when: Literal["drive", "coast", "any"] | None,
    load: Literal["empty", "loaded", "any"] | None,
) -> Complaint | None:
    """Return the complaint that was typed, or None where neither speed nor frequency was.

    Args:
        speed: Road speed with its unit [text].
        felt: Frequency with its unit [text].
        when: Whether under drive, on the overrun, or both alike; None where nobody looked.
        load: Whether empty, loaded, or both alike; None where nobody looked.

    Returns:
        The complaint, named "asked".

    Raises:
        DomainError: If a text is no such quantity, or nothing says which shake is meant.
    """
    if speed is None and felt is None:
        if when or load:
            raise DomainError('say which shake: --speed "88 km/h", --felt "42 Hz", or both')
        return None
    try:
        road = None if speed is None else parse(units.ROAD_SPEED, speed)
        shake = None if felt is None else parse(units.FREQUENCY, felt)
    except QuantityError as error:
        raise DomainError(f"{error}") from None
    if any(one is not None and one.value <= 0 for one in (road, shake)):
        raise DomainError("road speed and felt frequency must be above 0")
    return Complaint(
        name="asked",
        speed=None if road is None else road.value,
        frequency=None if shake is None else shake.value,
        spread=0.0 if shake is None else shake.spread,
        when=when,
        load=load,
    )


def shakes_lines(
    scene: Scene, results: Sequence[Result], asked: Complaint | None, width: int = WIDTH
) -> Iterator[str]:
    """Yield what shakes at which speed, a line each.

    Args:
        scene: The scene.
        results: One a configuration.
        asked: What was typed; None for the scene's own complaints.
        width: Most columns of a line [-], where words can go on below.
    """
    for result in results:
        yield f"{scene.title}, {result.configuration.name}"
        for table in _tables(scene, result, asked):
            yield from table_lines(table, width)
            yield ""


def shakes_json(scene: Scene, results: Sequence[Result], asked: Complaint | None) -> dict[str, Any]:
    """Return what shakes at which speed, for machines.

    Args:
        scene: The scene.
        results: One a configuration.
        asked: What was typed; None for the scene's own complaints.
    """
    return {
        "scene": scene.name,
        "configurations": [
            {
                "name": result.configuration.name,
                "complaints": [
                    _complaint(result, complaint) for complaint in _complaints(result, asked)
                ],
            }
            for result in results
        ],
    }


def table_lines(table: Table, width: int = WIDTH) -> Iterator[str]:
    """Yield a table as plain text: narrow columns beside each other, wide cells below their row.

    Args:
        table: The table.
        width: Most columns of a line of words [-].

    Yields:
        Lines of text.
    """
    lines = (table.head, *table.rows)
    widths = [max(len(row[k]) for row in lines) for k in range(len(table.head))]
    narrow = [k for k, width in enumerate(widths) if k == 0 or width <= MOST_WIDE]
    yield table.title
    for row in lines:
        yield "  " + "  ".join(row[k].ljust(widths[k]) for k in narrow).rstrip()
        if row is not table.head:
            wide = (k for k in range(len(row)) if k not in narrow)
            for k in wide:
                yield from _indented(f"{table.head[k]}: {row[k]}", "      ", width)
    yield from _indented(table.note, "  ", width)


def _indented(text: str, indent: str, width: int) -> list[str]:
    """Return words as lines of their own."""
    return wrap(text, width, initial_indent=indent, subsequent_indent=indent)


def _complaints(result: Result, asked: Complaint | None) -> tuple[Complaint, ...]:
    """Return what was asked, or the scene's own complaints."""
    return result.configuration.complaints if asked is None else (asked,)


def _tables(scene: Scene, result: Result, asked: Complaint | None) -> tuple[Table, ...]:
    """Return the tables to print."""
    display = display_of(scene.display)
    if asked is None:
        return shake_tables(result, display)
    speeds = [] if asked.speed is None else [asked.speed]
    orders = [order_table(result.configuration, [speed], display) for speed in speeds]
    return *orders, source_table(result, asked, display)


def _complaint(result: Result, complaint: Complaint) -> dict[str, Any]:
    """Return one complaint with its orders and likely sources."""
    vehicle = result.configuration.vehicle
    found = likely_sources(result.measurements, result.findings.findings, complaint)
    return {
        "name": complaint.name,
        "speed_km_h": None if complaint.speed is None else METRIC.speed.of(complaint.speed),
        "felt_hz": complaint.frequency,
        "when": complaint.when,
        "load": complaint.load,
        "orders": [
            {"order": order.name, "frequency_hz": order.frequency, "cause": order.cause}
            for order in orders_at(vehicle, complaint.speed or 0.0)
            if order.part != "engine" or order.frequency >= IDLE * order.order
        ]
        if complaint.speed
        else [],
        "likely_sources": [
            {
                "source": likely.source.name,
                "frequency_hz": likely.frequency,
                "speed_km_h": METRIC.speed.of(likely.speed),
                "gear": likely.gear,
                "points": likely.points,
                "reasons": list(likely.reasons),
                "confirm": likely.source.confirm,
                "rule": None if likely.finding is None else likely.finding.rule,
            }
            for likely in found
        ],
    }
