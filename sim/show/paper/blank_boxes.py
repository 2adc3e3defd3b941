"""Boxes and short lines of the measuring sheet, each with its key, its unit and small print."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sim.display import DisplayName
from sim.scene.answers import stands_in, unit_of
from sim.scene.keys import ChoiceKey, QuantityKey
from sim.scene.questions import Question
from sim.scene.text import Path
from sim.show.paper.kit import STEP, THIN, Box, Sheet, width_of, wrap

NOTE, NAME, BOX = 8.0, 8.5, 8.0  # points of small print and of keys, height of a box [mm]
LINE, LINES = 12.5, 4.9  # to write on, and from one to the next [mm]
SHORT = 60  # letters of a meaning that stands below words to circle
PLACES = ("aft", "up", "right")


@dataclass(frozen=True, slots=True)
class Reading:
    """A box to write in, with its key above and what helps below; or words to circle."""

    name: str
    unit: str
    choices: tuple[str, ...]  # to circle, in lines
    notes: tuple[str, ...]

    @classmethod
    def of(cls, question: Question, prefix: Path, display: DisplayName, wide: float) -> Reading:
        """Return the cell of a question, its small print in lines of a width [mm]."""
        key, notes = question.key, list[str]()
        name = _name(question, prefix)
        if width_of(name, NAME, True) > wide + 1:  # the opposite word on a line of its own
            name, _, other = name.partition(" / ")
            notes = [f"or {other}"]
        unit = unit_of(key.limits, display) if isinstance(key, QuantityKey) else ""
        notes += [] if question.path[-1] in PLACES else _notes(question, display)
        words = " / ".join(key.choices) if isinstance(key, ChoiceKey) else ""
        wide *= 2 if name == "datum" else 1
        texts = (words, "; ".join(notes))
        choices, lines = (wrap(text, wide, NOTE) if text else [] for text in texts)
        return cls(name, unit, tuple(choices), tuple(lines))

    @property
    def span(self) -> int:
        """How many columns it takes."""
        return 2 if self.name == "datum" else 1

    @property
    def body(self) -> float:
        """Height of the box, or of the words [mm]."""
        return max(BOX, len(self.choices) * NOTE * STEP + 1.0)

    def set(self, sheet: Sheet, left: float, wide: float) -> None:
        """Set it from where the sheet is filled."""
        y = sheet.y
        sheet.text(left, y + 3.2, self.name, NAME, True)
        if self.choices:
            for number, line in enumerate(self.choices):
                sheet.text(left, y + 7.4 + number * NOTE * STEP, line, NOTE)
        else:
            box = Box(left, y + 4.2, left + wide - 1, y + 4.2 + BOX)
            sheet.rect(box, 0.4)
            sheet.text(box.right - 1, box.bottom - 1.6, self.unit, NOTE, align="right")
        for number, line in enumerate(self.notes):
            sheet.text(left, y + 4.2 + self.body + 3.2 + number * NOTE * STEP, line, NOTE)


def _name(question: Question, prefix: Path) -> str:
    """Return a key as it stands behind what its strip's keys begin with, or its opposite."""
    path = question.path[len(prefix) :] if question.path[: len(prefix)] == prefix else question.path
    other = f" / {question.other[-1]}" if question.other != question.path else ""
    return ".".join(path) + other


def _notes(question: Question, display: DisplayName) -> list[str]:
    """Return what helps to fill a box: its meaning, what is usual, what holds if it is blank."""
    key = question.key
    said = [key.means.split(":")[0]]
    if isinstance(key, ChoiceKey) and len(said[0]) > SHORT:  # its words say it
        said = []
    if isinstance(key, QuantityKey) and key.limits.usual:
        said.append(f"usual {key.limits.usual_in(unit_of(key.limits, display))}")
    holds = stands_in(question, display).split(";")[0] if question.on_enter else ""
    if holds not in ("", "not known", "not measured"):
        said.append(f"blank: {holds}")
    return said


def height_of(row: Sequence[Reading]) -> float:
    """Return how high a row of cells is [mm]."""
    notes = (len(cell.notes) * NOTE * STEP + (0.6 if cell.notes else 0.0) for cell in row)
    return 4.6 + max(cell.body + high for cell, high in zip(row, notes, strict=True))


def blanks(
    asked: Sequence[Question], prefix: Path, display: DisplayName, wide: float
) -> Iterator[list[tuple[str, str]]]:
    """Yield rows of names and units with a short line to write on between."""
    row: list[tuple[str, str]] = []
    used = 0.0
    for question in asked:
        key = question.key
        unit = unit_of(key.limits, display) if isinstance(key, QuantityKey) else ""
        if isinstance(key, QuantityKey) and key.stands_in() is not None:
            unit = f"[{stands_in(question, display)}]"
        elif isinstance(key, ChoiceKey) and len(key.choices) == 2:
            unit = f"({' / '.join(key.choices)})"
        one = (_name(question, prefix), unit)
        long = _long(one)
        if row and used + long > wide:
            yield row
            row, used = [], 0.0
        row.append(one)
        used += long
    if row:
        yield row


def _long(blank: tuple[str, str]) -> float:
    return width_of(blank[0], NOTE) + LINE + width_of(blank[1], NOTE) + 4.5


def set_blanks(sheet: Sheet, row: Sequence[tuple[str, str]], left: float) -> None:
    """Set a row of short lines."""
    base = sheet.y + 4.2
    for name, unit in row:
        end = sheet.text(left, base, name, NOTE).right + 1
        sheet.line(end, base + 0.6, end + LINE, base + 0.6, THIN)
        sheet.text(end + LINE + 0.8, base, unit, NOTE)
        left += _long((name, unit))
    sheet.y += LINES
