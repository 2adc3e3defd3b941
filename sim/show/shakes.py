"""What shakes at which speed, as lines for a terminal and as JSON for machines."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any, Literal, TypeVar

from sim.display import METRIC, Display, display_of
from sim.errors import DomainError
from sim.judge.complaints import likely_sources
from sim.judge.rule import RuleSet
from sim.measure.orders import IDLE, orders_at
from sim.scene.allowed import In, SlipError
from sim.scene.parts import Complaint, Scene
from sim.scene.quantity import Quantity
from sim.scene.tables.complaint import FELT, SPEED
from sim.show.felt_json import felt_json
from sim.show.felt_words import answer_lines, answers_of, felt_in_of
from sim.show.lines import indented, table_lines, to_copy
from sim.show.report.pages import Table
from sim.show.report.shakes import (
    NOTHING,
    POINTS,
    order_table,
    shake_tables,
    source_words,
    why_words,
)
from sim.show.result import Result
from sim.show.shake_help_words import help_lines, helps_json, helps_of

WIDTH = 110
K = TypeVar("K", bound=Hashable)
T = TypeVar("T")


def complaint_of(
    speed: str | None,
    felt: str | None,
    when: Literal["drive", "coast", "any"] | None,
    load: Literal["empty", "loaded", "any"] | None,
    felt_in: str | None = None,
) -> Complaint | None:
    """Return the complaint that was typed, or None where neither speed nor frequency was.

    Args:
        speed: Road speed with its unit [text].
        felt: Frequency with its unit [text].
        when: Whether under drive, on the overrun, or both alike; None where nobody looked.
        load: Whether empty, loaded, or both alike; None where nobody looked.
        felt_in: Name of a configuration; None: the first one of the scene.

    Returns:
        The complaint, named "asked".

    Raises:
        DomainError: If a text is no such quantity, or nothing says which shake is meant.
    """
    if speed is None and felt is None:
        if when or load or felt_in is not None:
            raise DomainError(
                '--when, --load and --felt-in belong to a shake that is typed: --speed "88 km/h", '
                '--felt "42 Hz", or both; of a [complaint] of the scene they stand in its table'
            )
        return None
    road, shake = _typed("--speed", SPEED, speed), _typed("--felt", FELT, felt)
    return Complaint(
        name="asked",
        speed=None if road is None else road.value,
        frequency=None if shake is None else shake.value,
        spread=0.0 if shake is None else shake.spread,
        when=when,
        load=load,
        felt_in=felt_in,
    )


def _typed(option: str, limits: In, text: str | None) -> Quantity | None:
    """Return what was typed behind an option, allowed as in a scene; None where nothing was."""
    try:
        return None if text is None else limits.read(text)
    except SlipError as slip:
        raise DomainError(f"{option}{slip}") from None


def asked_of(scene: Scene, asked: Complaint | None) -> Scene:
    """Return a scene with what was typed in place of its own complaints.

    Raises:
        DomainError: If it is felt in no configuration of the scene, or faster than that one goes.
    """
    if asked is None:
        return scene
    top, speed = scene.configuration(scene.felt_in(asked)).vehicle.top_speed, asked.speed
    if speed is not None and speed > top:
        road = display_of(scene.display).speed
        typed, most = (f"{road.of(one):.1f} {road.name}" for one in (speed, top))
        said = f"--speed: {typed} is beyond top speed, {most} (vehicle.top_speed)"
        raise DomainError(f"{scene.name}: {said}")
    every = (replace(one, complaints=(asked,)) for one in scene.configurations)
    return replace(scene, configurations=tuple(every))


def shakes_lines(
    scene: Scene, results: Sequence[Result], rules: RuleSet, width: int = WIDTH
) -> Iterator[str]:
    """Yield what shakes at which speed, a line each: first the answers to complaints.

    Args:
        scene: The scene.
        results: One a configuration.
        rules: That judged them.
        width: Most columns of a line [-], where words can go on below.
    """
    names = [result.configuration.name for result in results]
    display = display_of(scene.display)
    for line in (f"{scene.title}, {', '.join(names)}", *scene.doubts):
        yield from indented(line, "", width)
    answers = answers_of(results)
    for felt in answers:
        yield from answer_lines(scene, [felt], width)
        helped = list(helps_of(felt, answers, results, rules))
        for number, (indent, line) in enumerate(help_lines(felt, helped)):
            yield from [*([""] if number == 0 else []), *to_copy(line, indent, width)]
    orders = ((_orders(result, display), result.configuration.name) for result in results)
    for table, which in _alike(orders).items():
        if table is not None:
            yield from ["", _of(which, names, ": ") + table.title, *table_lines(table, width)]
    told = [
        (one, result)
        for result in results
        for one in result.configuration.complaints
        if felt_in_of(one, results) == result.configuration.name
    ]
    for complaint, result in told:
        head = f"Likely sources of “{complaint.name}” in {result.configuration.name}, ranked"
        yield from ["", *indented(head, "", width)]
        yield from _source_lines(result, complaint, display, width)
    if told:
        yield from indented(POINTS, "  ", width)
    yield ""


def shakes_json(scene: Scene, results: Sequence[Result], rules: RuleSet) -> dict[str, Any]:
    """Return what shakes at which speed, for machines.

    Args:
        scene: The scene.
        results: One a configuration.
        rules: That judged them.
    """
    answers, names = answers_of(results), {result.configuration.name for result in results}
    return {
        "scene": scene.name,
        "answers": [felt_json(felt) for felt in answers],
        "helps": [
            helps_json(felt, list(helps_of(felt, answers, results, rules)))
            for felt in answers
            if felt.felt_in in names
        ],
        "configurations": [
            {
                "name": result.configuration.name,
                "complaints": [_complaint(result, one) for one in result.configuration.complaints],
            }
            for result in results
        ],
    }


def _alike(told: Iterable[tuple[K, T]]) -> dict[K, list[T]]:
    """Return what is told alike of several, with those that it is told of."""
    alike: dict[K, list[T]] = {}
    for said, of in told:
        alike.setdefault(said, []).append(of)
    return alike


def _of(which: Sequence[str], names: Sequence[str], mark: str) -> str:
    """Return the configurations that words behind a mark are about, "" where that is all."""
    return "" if len(which) == len(names) else ", ".join(which) + mark


def _source_lines(
    result: Result, complaint: Complaint, display: Display, width: int
) -> Iterator[str]:
    """Yield the likely sources of a complaint, the likeliest first."""
    found = likely_sources(result.measurements, result.findings.findings, complaint)
    for rank, likely in enumerate(found, start=1):
        first, *rest = indented(source_words(likely, complaint, display), "     ", width)
        yield from [f"  {rank}{first[3:]}", *rest]
        yield from indented(why_words(likely, display), "     ", width)
        yield from indented(f"To be sure: {likely.source.confirm}", "     ", width)
    if not found:
        yield from indented(NOTHING, "  ", width)


def _orders(result: Result, display: Display) -> Table | None:
    """Return the orders at the speeds of all complaints; at some speeds where nothing is felt."""
    complaints = result.configuration.complaints
    if not complaints:
        return shake_tables(result, display)[0]
    speeds = sorted({one.speed for one in complaints if one.speed is not None})
    return order_table(result.configuration, speeds, display) if speeds else None


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
