"""The hand-over page for the customer's folder: what was checked, and within what it holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from sim.display import display_of, on_tape
from sim.measure.clearance.result import GROUND
from sim.motion.sweep import most_load
from sim.scene.parts import Configuration
from sim.show.building import Building
from sim.show.fitted import fitted
from sim.show.outlook import finding_words
from sim.show.paper.build_order import at_mark, shaft_orders
from sim.show.paper.build_readings import heights_to_read
from sim.show.paper.build_work import draw_signs
from sim.show.paper.kit import Cell, Label, PaperName, Sheet, pages_of, write_sheet
from sim.units import GRAVITY

FILE = "hand_over.pdf"
# how much is said of what was checked, where room is short: most lines to watch, size [pt]
CUTS = ((4, 9.0), (2, 9.0), (2, 8.0), (0, 8.0))

ASK = (
    "Tires or axle ratio; springs, ride height or bump stops; more load, or a trailer; engine, "
    "gearbox or their mounts; wedge, shims or bracket; shafts, joints or where the spline stands; "
    "exhaust, tank or lines beside the shafts."
)
# common practice, no source
AGAIN = (
    "After the first loaded drive: every bolt to its torque; the bearing, its rubber free of twist "
    "and its bracket where it was; the gap against the figure above.",
    "At every service: play and grease of the joints, the bearing's rubber, bolts, rub marks"
    "{near}.",
)
NOT = (
    "It certifies nothing: neither the vehicle, nor the strength of frame, brace and bolts, nor "
    "that any regulation is met, and a top speed here is no speed that is safe to drive. It was "
    "calculated from readings and knows nothing of what nobody measured. The vehicle maker's data, "
    "local codes and licensed practice come first; an inspection or a certificate may be required."
)
SIGNS = ("Shop", "Instrument", "Date", "Built by", "Checked by", "Customer")


def write_hand_over(build: Building, folder: Path, paper: PaperName) -> Path:
    """Write the hand-over page of a sound layout.

    Args:
        build: The layout.
        folder: Where it belongs.
        paper: Size of the page.

    Returns:
        The file, of one page.

    Raises:
        EngineError: If it does not fit.
    """
    scene, configuration = build.scene, build.result.configuration
    label = Label("Hand-over", scene.title, configuration.name, scene.digest)

    def fill(sheet: Sheet, watched: int, size: float) -> None:
        draw_signs(sheet, ("Vehicle, plate", "Odometer"), 2)
        _built(sheet, build)
        _checked(sheet, build, watched, size)
        _holds(sheet, build)
        _later(sheet, build)
        _readings(sheet, build)
        draw_signs(sheet, SIGNS)

    cuts = [partial(fill, watched=n, size=size) for n, size in CUTS]
    fits = next((cut for cut in cuts if pages_of(label, cut, paper) == 1), cuts[-1])
    return write_sheet(folder / FILE, label, fits, paper=paper, one_page=True)


def _section(sheet: Sheet, title: str) -> None:
    sheet.space(2)
    sheet.heading(title, 11, below=8)


def _built(sheet: Sheet, build: Building) -> None:
    """Set what was built, in a sentence."""
    display, m = build.scene.display, build.result.measurements
    configuration = m.configuration
    said = []
    for order in shaft_orders(m):
        tube = display_of(display).fine
        size = f"{tube.number(order.shaft.tube.outside)} × {tube.say(order.shaft.tube.wall)}"
        said.append(f"shaft {order.number}, tube {size}, {on_tape(order.length, display)} long")
    for number, bearing in enumerate(configuration.bearings, start=1):
        aft, _, up = (float(x) for x in bearing.point)
        said.append(
            f"bearing {number} at {on_tape(abs(aft), display)} {'aft' if aft >= 0 else 'forward'}, "
            f"{on_tape(abs(up), display)} {'up' if up >= 0 else 'down'} from the datum"
        )
    said.append(f"spline gap {on_tape(at_mark(m)[0], display)} at ride height")
    _section(sheet, "What was built")
    with_it = " ".join(fitted(m, display))
    sheet.paragraph(
        f"{configuration.name}: {'; '.join(said)}. {with_it} Lengths from joint center to joint "
        "center."
    )


def _checked(sheet: Sheet, build: Building, most: int, size: float) -> None:
    """Set what was checked: rules by their names, how many passed, and what is to be watched."""
    findings, watch = build.result.findings.findings, build.outlook.watch
    passed = [finding for finding in findings if finding.verdict == "passes"]
    told = f"{len(passed)} of {len(findings)} passed, none fails"
    watched = f", {len(watch)} to watch" if watch else ""
    _section(sheet, f"What was checked: {told}{watched}")
    counts = Counter(finding.rule for finding in passed)
    told_how_often = most > 0  # but not where room is shortest
    rules = "; ".join(
        f"{rule} ({n})" if n > 1 and told_how_often else rule for rule, n in counts.items()
    )
    sheet.paragraph(f"By the rules of “{build.rules.name}” ({build.rules.scope}): {rules}.", size)
    for headline in watch[:most]:
        sheet.paragraph(f"To watch: {finding_words(headline.lead, build.scene.display)}.", size)


def _holds(sheet: Sheet, build: Building) -> None:
    """Set within what it holds."""
    _section(sheet, "It holds within")
    rows = list(_limits(build.result.configuration))
    half = (len(rows) + 1) // 2
    pairs = [
        (*rows[k], *(rows[half + k] if half + k < len(rows) else ("", ""))) for k in range(half)
    ]
    sheet.table(
        [24, 69, 24, 69], [[Cell(a, bold=True), b, Cell(c, bold=True), d] for a, b, c, d in pairs]
    )


def _limits(configuration: Configuration) -> Iterator[tuple[str, str]]:
    """Yield what it was checked for, each with its name."""
    shown, name, vehicle = (
        display_of(configuration.display),
        configuration.display,
        configuration.vehicle,
    )
    yield (
        "Tires",
        f"radius {shown.length.say(vehicle.tire_radius, digits=shown.coarse)} loaded, "
        f"{shown.length.say(vehicle.tire_circumference, digits=shown.coarse)} a turn",
    )
    yield "Axle ratio", f"{vehicle.axle_ratio:.2f} to 1"
    if configuration.travel is not None:
        droop, bump = (
            on_tape(x, name) for x in (configuration.travel.droop, configuration.travel.bump)
        )
        yield "Heights", f"ride height as measured, {droop} droop, {bump} bump"
    load = most_load(configuration)
    yield (
        "Load",
        "not known" if load is None else f"{shown.mass.say(load / GRAVITY)} on the driven axle",
    )
    yield "Top speed", shown.speed.say(vehicle.top_speed)
    torque = vehicle.engine_torque
    yield "Torque", "not known" if torque is None else f"engine {shown.torque.say(torque)}"


def _later(sheet: Sheet, build: Building) -> None:
    """Set what must not be changed, when to look again, and what it does not certify."""
    near = [c for c in build.result.measurements.numbers.near if c.obstacle != GROUND]
    said = ""
    if near:
        nearest = min(near, key=lambda c: c.distance)
        at = on_tape(nearest.distance, build.scene.display)
        said = f" (nearest: {nearest.part} to {nearest.obstacle}, {at})"
    _section(sheet, "Ask again before any of this is changed")
    sheet.paragraph(ASK)
    _section(sheet, "Look again")
    sheet.ticks([line.format(near=said) for line in AGAIN])
    _section(sheet, "What this page is not")
    sheet.paragraph(NOT, 9)


def _readings(sheet: Sheet, build: Building) -> None:
    """Set boxes for the readings as built."""
    heights = heights_to_read(build.allowed)
    names = [reading.what for reading in build.allowed.at(heights[0])]
    unit = "mm" if build.scene.display == "metric" else "in"
    _section(sheet, "Readings as built")
    titles = {"ride height": "On its wheels", "full droop": "On the lift"}
    head = ["", *[f"gap [{unit}]" if name == "gap" else f"{name} [deg]" for name in names]]
    rows = [[Cell(titles[height]), *[Cell(box=True)] * len(names)] for height in heights]
    sheet.table([30, *[156 / len(names)] * len(names)], rows, head=head)
