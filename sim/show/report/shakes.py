"""Tables of what shakes at which road speed, and of the likely sources of each complaint."""

from __future__ import annotations

from collections.abc import Sequence

from sim.display import Display, amount, plain_number
from sim.judge.complaints import LikelySource, likely_sources
from sim.measure.orders import IDLE, Order, orders_at
from sim.scene.parts import Complaint, Configuration
from sim.show.complaint_words import complaint_title
from sim.show.report.pages import Table
from sim.show.result import Result

LADDER = {
    "metric": (20, 40, 60, 80, 100),
    "inch": (15, 25, 40, 55, 70),
}
NOTHING = "Nothing that is modeled speaks for any source."
POINTS = (
    "Points sort, they prove nothing: common practice, no source. Test drives on a closed road; "
    "nobody under a vehicle whose wheels or shafts turn."
)


def shake_tables(result: Result, display: Display) -> tuple[Table, ...]:
    """Return the orders at some road speeds, and the ranked sources of every complaint.

    Args:
        result: What the configuration came to.
        display: Units shown.
    """
    configuration = result.configuration
    complaints = configuration.complaints
    return (
        order_table(configuration, _speeds(configuration, complaints, display), display),
        *(source_table(result, complaint, display) for complaint in complaints),
    )


def order_table(configuration: Configuration, speeds: Sequence[float], display: Display) -> Table:
    """Return how often tire, shafts and engine shake at some road speeds.

    Args:
        configuration: Whose vehicle.
        speeds: Road speeds [m/s].
        display: Units shown.
    """
    columns = [orders_at(configuration.vehicle, speed) for speed in speeds]
    rows = (
        (columns[0][i].name, columns[0][i].cause, *(_hertz(column[i]) for column in columns))
        for i in range(len(columns[0]))
    )
    heads = (display.speed.say(speed) for speed in speeds)
    return Table(
        "What shakes at which speed [Hz]",
        ("order", "what shakes so", *heads),
        tuple(rows),
        f"Order 2: twice a turn. {_gear(configuration)} Arithmetic of orders as in Ford and GM "
        "service manuals.",
    )


def _hertz(order: Order) -> str:
    """Return how often an order shakes; "–" for an engine below its idle speed."""
    idles = order.part == "engine" and order.frequency < IDLE * order.order
    return "–" if idles else plain_number(order.frequency, 1)


def source_table(result: Result, complaint: Complaint, display: Display) -> Table:
    """Return the likely sources of a complaint, the likeliest first.

    Args:
        result: What the configuration came to.
        complaint: What the driver feels.
        display: Units shown.
    """
    alone = complaint.speed is None
    column = f"has it at [{display.speed.name}]" if alone else "shakes at [Hz]"
    found = likely_sources(result.measurements, result.findings.findings, complaint)
    return Table(
        complaint_title(complaint, display),
        ("rank", "likely source", column, "points", "why, and how to be sure"),
        tuple(
            _row(rank, likely, display, alone=alone) for rank, likely in enumerate(found, start=1)
        ),
        POINTS if found else NOTHING,
    )


def _row(rank: int, likely: LikelySource, display: Display, *, alone: bool) -> tuple[str, ...]:
    """Return one likely source."""
    return (
        str(rank),
        _source(likely),
        display.speed.number(likely.speed) if alone else plain_number(likely.frequency, 1),
        f"{likely.points:d}",
        f"{_why(likely, display)}. To be sure: {likely.source.confirm}",
    )


def _source(likely: LikelySource) -> str:
    """Return what a source is, and what shakes how often."""
    source = likely.source
    order = f"order {source.order:g}" if source.order else "firing"
    return f"{source.name} ({source.part}, {order}{likely.gear and f', in {likely.gear}'})"


def _why(likely: LikelySource, display: Display) -> str:
    """Return what speaks for a source and against it."""
    found = likely.finding
    value = f": {found.where} {amount(found.value, found.unit, display.name)}" if found else ""
    return "; ".join(likely.reasons) + (f"{value}, {found.verdict}" if found else "")


def source_words(likely: LikelySource, complaint: Complaint, display: Display) -> str:
    """Return a likely source with how often it shakes, or at which speed it would as was felt.

    Args:
        likely: The source.
        complaint: What the driver feels.
        display: Units shown.
    """
    speed = display.speed.say(likely.speed)
    often = f"{plain_number(likely.frequency, 1)} Hz"
    return f"{_source(likely)}: {often if complaint.speed else f'shakes so at {speed}'}"


def why_words(likely: LikelySource, display: Display) -> str:
    """Return the points of a likely source, and what they are given for.

    Args:
        likely: The source.
        display: Units shown.
    """
    return f"{likely.points} point{'s' * (likely.points > 1)}: {_why(likely, display)}"


def _speeds(
    configuration: Configuration, complaints: Sequence[Complaint], display: Display
) -> list[float]:
    """Return the speeds of the complaints, top speed, and a ladder below it."""
    top = configuration.vehicle.top_speed
    shown = (display.speed.size * number for number in LADDER[display.name])
    ladder = [speed for speed in shown if speed < 0.97 * top]
    felt = [complaint.speed for complaint in complaints if complaint.speed is not None]
    return sorted({round(speed, 9) for speed in (*ladder, *felt, top)})


def _gear(configuration: Configuration) -> str:
    """Say in which gear the engine's orders are, and what is missing."""
    reading = configuration.readings.get("vehicle.top_gear")
    assumed = reading is None or reading.status == "assumed"
    gear = f"Engine in top gear, {configuration.vehicle.top_gear:g} to 1"
    gear += " (assumed)" if assumed else ""
    known = configuration.vehicle.cylinders is not None
    firing = "" if known else " Its firing needs vehicle.cylinders."
    return (
        f"{gear}, clutch or converter locked; in another gear it shakes otherwise; –: below "
        f"idle.{firing}"
    )
