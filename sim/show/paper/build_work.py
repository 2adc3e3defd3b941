"""Build sheet: fasteners, the order of tightening, cautions, and who signs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.display import Display, DisplayName, display_of
from sim.judge.fasteners import BoltTorque, torques_of
from sim.scene.parts import Configuration
from sim.show.paper.kit import Cell, Sheet, width_of

OWN_SHEET, BLANK = "its own sheet", "________"

# Nut, not bolt: a maker's service manual; bearing at ride height: service manual, sedan, 2012;
# flange bolts new and crosswise: service manual, sedan, 2006; strap bolts: low torque, makers'
# sheets.  The rest is common practice, no source.
BRACE = (
    "Brace to rails: square (diagonals alike) and level first, backing plates in, sleeves in a "
    "boxed rail; then to torque, turning the nut, not the bolt."
)
JOINTS = (
    "Joints and flanges: marks in line, caps seated; straps and U-bolts evenly in small steps, "
    "flange bolts new and crosswise. Makers' figures first."
)
BEARING = (
    "Bearing to brace: loose at first. Lower the vehicle onto its wheels, at ride height; turn the "
    "shafts by hand until the rubber hangs free of twist, its face square to the shaft.",
    "Now tighten the bearing, at ride height. More than 5 mm (3/16 in) of shim: look at the "
    "mounts first.",
)
TURN = "Turn the shafts a whole turn by hand: nothing binds, nothing rubs. Then take the readings."
CARE = (
    "Level ground, wheels blocked, rated stands, neutral, key out. Never under a vehicle that "
    "runs; no loose clothing near a shaft that turns.",
    "Strap a shaft up before its last bolt comes out. Never hammer or heat a yoke.",
    "Before drilling: what is behind? Lines, wires, tank. Never a rail flange; the chassis "
    "maker's book decides. Before welding: battery off, ground near the weld.",
)
SIGNS = ("Plate", "Odometer", "Instrument", "Built by", "Checked by", "Date")
_LINE = 8.6  # from one line to sign on to the next [mm]


def draw_fasteners(sheet: Sheet, configuration: Configuration, display: DisplayName) -> None:
    """Set the fasteners with their torques and a box for who did each."""
    sheet.space(2.5)
    sheet.heading("Fasteners: a part's own figure comes before any table", below=30)
    rows = [
        [*[Cell(text) for text in row], Cell(box=True)]
        for row in _fasteners(configuration, display_of(display))
    ]
    head = ["", "bolts", "torque", "by", "done"]
    sheet.table([48, 30, 40, 44, 24], rows, head=head)


def _fasteners(configuration: Configuration, display: Display) -> Iterator[tuple[str, ...]]:
    """Yield what is bolted, with which bolts, to which torque, and who says so."""
    feet = []
    for number in range(1, len(configuration.bearings) + 1):
        brace = configuration.braces.get(number)
        feet.append(None if brace is None else brace.foot)
    alike = len({None if f is None else (f.columns, f.rows, f.bolt) for f in feet}) == 1
    for number, foot in enumerate(feet[:1] if alike else feet, start=1):
        which = "" if len(feet) == 1 else " (each)" if alike else f" {number}"
        bolt = None if foot is None else foot.bolt
        count = "" if foot is None else f"{foot.columns * foot.rows} a side, "
        yield f"Brace{which} to rails", f"{count}{bolt or BLANK}", *torque_words(bolt, display)
    if feet:
        each = " (each)" if len(feet) > 1 else ""
        yield f"Bearing{each} to brace", BLANK, BLANK, OWN_SHEET
    yield "Joints: straps, flanges", BLANK, BLANK, OWN_SHEET


def torque_words(bolt: str | None, display: Display) -> tuple[str, str]:
    """Return the torque of a bolt by a general table, and the name of that table.

    Args:
        bolt: As a scene writes it, or None where it is not known.
        display: Units shown.

    Returns:
        As in "class 8.8: 68 N m" and "SAE J1701M, plated or oiled", a line a grade; a blank and
        the words for a part's own sheet where no general table has it [text].
    """
    found = () if bolt is None else torques_of(bolt)
    if not found:
        return BLANK, OWN_SHEET
    first = found[0]
    same = [torque for torque in found if torque.table == first.table]
    condition = first.condition.removesuffix(", by its values")
    name = first.table if condition in first.table else f"{first.table}, {condition}"
    return "\n".join(f"{one.grade}: {_torque(one, display)}" for one in same), name


def _torque(torque: BoltTorque, display: Display) -> str:
    """Return a torque, or from where to where."""
    most = display.torque.say(torque.most)
    if torque.least == torque.most:
        return most
    return f"{display.torque.number(torque.least)} to {most}"


def draw_care(sheet: Sheet, configuration: Configuration) -> None:
    """Set the order of tightening and the cautions, with boxes to tick."""
    sheet.space(2.5)
    sheet.heading("Tighten in this order", below=20)
    hung = bool(configuration.bearings)
    sheet.ticks([BRACE, JOINTS, *BEARING, TURN] if hung else [JOINTS, TURN])
    sheet.space(1)
    sheet.heading("Care", below=15)
    sheet.ticks(CARE)


def draw_signs(sheet: Sheet, names: Sequence[str] = SIGNS, columns: int = 3) -> None:
    """Set lines to sign on, some beside each other.

    Args:
        sheet: Where.
        names: Of what is written on each line.
        columns: How many stand beside each other.
    """
    wide = sheet.wide / columns
    label = max(width_of(name, bold=True) for name in names) + 2
    rows = [names[k : k + columns] for k in range(0, len(names), columns)]
    sheet.need(_LINE * len(rows))
    for row in rows:
        sheet.y += _LINE
        for column, name in enumerate(row):
            left = sheet.left + column * wide
            sheet.text(left, sheet.y - 1, name, bold=True)
            sheet.line(left + label, sheet.y - 0.5, left + wide - 3, sheet.y - 0.5, 0.3)
