"""Build sheet: what to order and to cut, and where the spline stands on the bench."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sim.display import DEGREES, SHAFT_SPEED, DisplayName, display_of, on_tape
from sim.measure.measurements import Measurements
from sim.scene.parts import Shaft
from sim.show.fitted import fitted
from sim.show.paper.kit import CENTER_LINE, Box, Cell, Sheet
from sim.show.slide_words import slide_words

_KEY = 14.0  # size of the numbers to cut by [pt]
_SKETCH = 29.0  # height of the sketches [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShaftOrder:
    """What to order of one shaft; lengths at ride height with the spline at its mark [m].

    Attributes:
        number: From 1, the front one.
        shaft: Its tube, phase and mass.
        length: Joint center to joint center.
        to_joint: Bearing center to the joint behind it; None for a shaft without a bearing.
        cut: Tube, end to end; None where a yoke's depth is not known.
        phase: Clock angle from its front to its rear yoke, as welded [rad].
        unbalance: That G16 leaves at each end at top speed [kg m].
        speed: The shaft speed of that [rad/s].
    """

    number: int
    shaft: Shaft
    length: float
    to_joint: float | None
    cut: float | None
    phase: float
    unbalance: float
    speed: float


def shaft_orders(m: Measurements) -> tuple[ShaftOrder, ...]:
    """Return what to order, shaft by shaft from the front."""
    configuration = m.configuration
    assert configuration.design is not None
    found = []
    for built, balance in zip(m.as_built, m.strength.unbalance, strict=True):
        number, shaft = built.shaft, configuration.shafts[built.shaft - 1]
        bearing = number <= len(configuration.bearings)
        depths = shaft.front_depth, shaft.rear_depth
        known = [depth for depth in depths if depth is not None]
        found.append(
            ShaftOrder(
                number=number,
                shaft=shaft,
                length=built.length,
                to_joint=configuration.bearings[number - 1].to_joint if bearing else None,
                cut=built.length - sum(known) if len(known) == 2 else None,
                phase=float(configuration.design.values[f"shaft.{number}.phase"]),
                unbalance=balance.g16 / 2,
                speed=balance.speed,
            )
        )
    return tuple(found)


def draw_order(
    sheet: Sheet, m: Measurements, display: DisplayName, *, sketched: bool = True
) -> None:
    """Set what to order: lengths with boxes, then parts, then sketches and the spline."""
    orders = shaft_orders(m)
    each = 134 / len(orders)
    names = [f"Shaft {order.number}" for order in orders]
    sheet.heading("Order and cut")
    sheet.table(
        [52, *[each * share for share in (0.58, 0.42)] * len(orders)],
        list(_lengths(orders, display)),
        head=[
            "mm" if display == "metric" else "in",
            *[cell for name in names for cell in (name, "read")],
        ],
    )
    sheet.table([52, *[each] * len(orders)], list(_parts(m, orders, display)))
    sheet.space(1)
    for line in fitted(m, display):
        sheet.paragraph(line, 11, True)
    sheet.space(2)
    if sketched:
        _sketches(sheet, m, display)
    sheet.paragraph(_spline_words(m, display))


def _lengths(orders: Sequence[ShaftOrder], display: DisplayName) -> Iterator[list[Cell]]:
    """Yield the rows of lengths, each with a box."""

    def row(what: str, values: Sequence[float | str | None]) -> list[Cell]:
        cells = [Cell(what)]
        for value in values:
            if value is None:
                cells += [Cell("–"), Cell()]
            elif isinstance(value, str):
                cells += [Cell(value), Cell(box=True)]
            else:
                cells += [Cell(on_tape(value, display, unit=False), _KEY, True), Cell(box=True)]
        return cells

    yield row("Joint center to joint center", [order.length for order in orders])
    if any(order.to_joint is not None for order in orders):
        yield row(
            "Joint center to bearing",
            [None if o.to_joint is None else o.length - o.to_joint for o in orders],
        )
        yield row("Bearing to joint center", [order.to_joint for order in orders])
    for what, depth in (("a, front joint to tube", 0), ("b, tube to rear joint", 1)):
        depths = [(o.shaft.front_depth, o.shaft.rear_depth)[depth] for o in orders]
        yield row(what, ["measure:" if d is None else d for d in depths])
    cuts = [
        f"{on_tape(o.length, display, unit=False)} − a − b" if o.cut is None else o.cut
        for o in orders
    ]
    yield row("Cut the tube to", cuts)


def _parts(
    m: Measurements, orders: Sequence[ShaftOrder], display: DisplayName
) -> Iterator[list[str]]:
    """Yield the rows of parts, as text."""
    shown, configuration = display_of(display), m.configuration
    fine = shown.fine
    yield [
        "Tube, outside × wall",
        *[
            f"{fine.number(o.shaft.tube.outside)} × {fine.say(o.shaft.tube.wall)} "
            f"{o.shaft.tube.material}"
            for o in orders
        ],
    ]
    yield ["Phase, front to rear yoke", *[_phase(o.phase) for o in orders]]
    series = configuration.series or "________"
    yield ["Joints, series", *[f"{_joints(m, order.number)}, {series}" for order in orders]]
    yield [
        "Mass; balance grade G16",
        *[
            f"{shown.mass.say(o.shaft.mass)}; {shown.unbalance.say(o.unbalance)} per end, "
            f"{SHAFT_SPEED.say(o.speed)}"
            for o in orders
        ],
    ]


def _phase(phase: float) -> str:
    """Return how the yokes of a shaft are welded."""
    if abs(phase) < math.radians(0.05):
        return "0 deg, yokes in line"
    way = "counterclockwise" if phase > 0 else "clockwise"
    return f"{DEGREES.say(abs(phase), digits=1)} {way}, from behind"


def _joints(m: Measurements, number: int) -> str:
    """Return the joints that a shaft brings: the one ahead of it, of the last one that behind."""
    joints = m.configuration.joints
    own = [number, number + 1] if number == len(m.configuration.shafts) else [number]
    kinds = [joints[k - 1].kind for k in own]
    if len(set(kinds)) == 1:
        return f"{', '.join(map(str, own))} {kinds[0]}"
    return ", ".join(f"{k} {kind}" for k, kind in zip(own, kinds, strict=True))


def _spline_words(m: Measurements, display: DisplayName) -> str:
    """Return how to set the spline on the bench, and what the travel uses of it."""
    configuration, spline = m.configuration, m.configuration.spline
    where = slide_words(configuration).where
    teeth = f", {spline.teeth:.0f} teeth" if spline.teeth else ""
    gap, engaged = (on_tape(length, display) for length in at_mark(m))
    said = [
        f"{where[:1].upper()}{where[1:]}{teeth}. On the bench: push it together to its stop and "
        f"mark; draw it back {gap} and mark again: {engaged} stay engaged. All lengths are with it "
        "on that mark."
    ]
    limits = m.slip_limits
    if limits:
        inward = at_mark(m)[0] - min(limit.least_gap for limit in limits)
        outward = at_mark(m)[1] - min(limit.least_engaged for limit in limits)
        said.append(
            f"From the mark the travel takes it in by {on_tape(max(inward, 0.0), display)}, out by "
            f"{on_tape(max(outward, 0.0), display)}."
        )
    if configuration.output_spline is not None:
        ahead = configuration.output_spline
        said.append(
            f"Slip yoke on the output: gap {on_tape(ahead.gap, display)}, engaged "
            f"{on_tape(ahead.engaged, display)}."
        )
    return " ".join(said)


def at_mark(m: Measurements) -> tuple[float, float]:
    """Return gap and engaged length at ride height without torque [m]."""
    ride = next(k for k, state in enumerate(m.states) if state.situation == "ride height")
    return float(m.gap[ride]), float(m.engaged[ride])


def _sketches(sheet: Sheet, m: Measurements, display: DisplayName) -> None:
    """Draw what a, b and cut mean, and the spline at its bench mark; neither to scale."""
    sheet.need(_SKETCH)
    top, left = sheet.y, sheet.left
    _shaft_sketch(sheet, left + 4, left + 96, top + 12.5)
    _spline_sketch(sheet, left + 104, top + 5.5, m, display)
    sheet.y = top + _SKETCH


def _shaft_sketch(sheet: Sheet, start: float, end: float, middle: float) -> None:
    """Draw a shaft with what is measured on it."""
    first, last = start + 16, end - 16
    sheet.line(start - 3, middle, end + 3, middle, 0.2, CENTER_LINE)
    sheet.rect(Box(first, middle - 4, last, middle + 4), 0.5)
    for joint, tube in ((start, first), (end, last)):
        sheet.circle(joint, middle, 2.4, 0.5)
        for side in (-1, 1):
            sheet.line(joint, middle + 2.4 * side, tube, middle + 4 * side, 0.4)
    for x, to, text in ((start, first, "a"), (first, last, "cut tube"), (last, end, "b")):
        sheet.dimension_across(x, to, middle - 6, text)
    sheet.dimension_across(start, end, middle + 9.5, "joint center to joint center")


def _spline_sketch(
    sheet: Sheet, left: float, top: float, m: Measurements, display: DisplayName
) -> None:
    """Draw a spline with its gap and its engaged length."""
    gap, length = at_mark(m)
    sheet.rect(Box(left, top + 2.5, left + 44, top + 8.5), 0.4)
    sheet.rect(Box(left + 20, top, left + 72, top + 11), 0.6)
    sheet.hatch(Box(left + 60, top, left + 72, top + 11))
    y = top + 16.5
    sheet.dimension_across(left + 20, left + 44, y, "")
    sheet.dimension_across(left + 44, left + 60, y, "")
    words = slide_words(m.configuration)
    engaged = "engaged" if words.what == "spline" else "outward"
    sheet.text(left + 43, y + 4.6, f"{engaged} {on_tape(length, display)}", 10, True, "right")
    sheet.text(left + 45, y + 4.6, f"gap {on_tape(gap, display)}", 11, True)
