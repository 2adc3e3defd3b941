"""Build sheet: fasteners, the order of tightening, cautions, and who signs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.display import Display, DisplayName, display_of
from sim.judge.fasteners import BoltTorque, torques_of
from sim.scene.parts import Configuration
from sim.show.paper.kit import Cell, Sheet

OWN_SHEET = "by its own sheet"
FLANGES = "driveline flange bolts"  # a table for these alone

# Nut, not bolt: a maker's service manual; bearing at ride height: service manual, sedan, 2012;
# flange bolts new and crosswise: service manual, sedan, 2006; strap bolts: low torque, makers'
# sheets.  The rest is common practice, no source.
TIGHTEN = (
    "Brace to rails: square and level first, backing plates in, sleeves in a boxed rail; then to "
    "torque, turning the nut, not the bolt.",
    "Joints and flanges: marks in line, caps seated; straps and U-bolts evenly in small steps, "
    "flange bolts new and crosswise. Makers' figures first.",
    "Bearing to brace: loose at first. Lower the truck onto its wheels, at ride height; turn the "
    "shafts by hand until the rubber hangs free of twist, its face square to the shaft.",
    "Now tighten the bearing, at ride height. More than 5 mm (3/16 in) of shim: look at the "
    "mounts first.",
    "Turn the shafts a whole turn by hand: nothing binds, nothing rubs. Then take the readings.",
)
CARE = (
    "Level ground, wheels blocked, rated stands, neutral, key out. Never under a truck that runs; "
    "no loose clothing near a shaft that turns.",
    "Strap a shaft up before its last bolt comes out. Never hammer or heat a yoke.",
    "Before drilling: what is behind? Lines, wires, tank. Never a rail flange; the chassis "
    "maker's book decides. Before welding: battery off, ground near the weld.",
)
SIGNS = ("Vehicle, plate", "Odometer", "Built by", "Checked by", "Instrument", "Date")


def draw_fasteners(sheet: Sheet, configuration: Configuration, display: DisplayName) -> None:
    """Set the fasteners with their torques and a box for who did each."""
    sheet.heading("Fasteners: a part's own figure comes before any table", below=30)
    rows = [
        [Cell(what), Cell(bolt), Cell(torque), Cell(box=True)]
        for what, bolt, torque in _fasteners(configuration, display_of(display))
    ]
    sheet.table([44, 30, 84, 28], rows, head=["", "bolts", "torque", "done by"])


def _fasteners(configuration: Configuration, display: Display) -> Iterator[tuple[str, str, str]]:
    """Yield what is bolted, with which bolts, to which torque."""
    for number in range(1, len(configuration.bearings) + 1):
        which = f" {number}" if len(configuration.bearings) > 1 else ""
        brace = configuration.braces.get(number)
        foot = None if brace is None else brace.foot
        if foot is None:
            yield f"Brace{which} to rails", "________", OWN_SHEET
        else:
            count = foot.columns * foot.rows
            bolts = f"{count} a side, {foot.bolt or '______'}"
            yield f"Brace{which} to rails", bolts, torque_words(foot.bolt, display)
        yield f"Bearing{which} to brace", "________", OWN_SHEET
    yield "Joints: straps, U-bolts, flanges", "________", OWN_SHEET


def torque_words(bolt: str | None, display: Display) -> str:
    """Return the torque of a bolt by a general table, with its name.

    Args:
        bolt: As a scene writes it, or None where it is not known.
        display: Units shown.

    Returns:
        As in "class 8.8: 68 N m, class 10.9: 94 N m (SAE J1701M, plated or oiled)"; the words for
        a part's own sheet where no general table has it [text].
    """
    found = [] if bolt is None else [t for t in torques_of(bolt) if t.table != FLANGES]
    if not found:
        return OWN_SHEET
    same = [torque for torque in found if torque.table == found[0].table]
    said = ", ".join(f"{torque.grade}: {_torque(torque, display)}" for torque in same)
    condition = found[0].condition.removesuffix(", by its values")
    return f"{said} ({found[0].table}{'' if condition in found[0].table else f', {condition}'})"


def _torque(torque: BoltTorque, display: Display) -> str:
    """Return a torque, or from where to where."""
    most = display.torque.say(torque.most)
    if torque.least == torque.most:
        return most
    return f"{display.torque.number(torque.least)} to {most}"


def draw_care(sheet: Sheet) -> None:
    """Set the order of tightening and the cautions, with boxes to tick."""
    sheet.heading("Tighten in this order", below=20)
    sheet.ticks(TIGHTEN)
    sheet.heading("Care", below=15)
    sheet.ticks(CARE)


def draw_signs(sheet: Sheet, names: Sequence[str] = SIGNS) -> None:
    """Set lines to sign on, two beside each other."""
    half = sheet.wide / 2
    rows = [names[k : k + 2] for k in range(0, len(names), 2)]
    sheet.need(9.5 * len(rows))
    for row in rows:
        sheet.y += 9.5
        for column, name in enumerate(row):
            left = sheet.left + column * half
            sheet.text(left, sheet.y - 1, name, bold=True)
            sheet.line(left + 32, sheet.y - 0.5, left + half - 4, sheet.y - 0.5, 0.3)
