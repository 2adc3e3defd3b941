"""The answer on one page of paper: which design, where it hangs, what to order and to check."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from sim.show.answer import Answer
from sim.show.answer_lines import length_line
from sim.show.answer_words import Line
from sim.show.paper.answer_view import draw_side_view, side_view_words
from sim.show.paper.kit import (
    BOLD,
    CAUTION,
    KEY,
    MARGIN,
    PAPERS,
    POINT,
    READING,
    STEP,
    Box,
    Label,
    PaperName,
    Sheet,
    room_left,
    shortened,
    width_of,
    wrap,
    write_sheet,
)

NAME = "answer.pdf"
UNDER = "Before you go under: level ground, wheels blocked, rated stands, key out."
LEAST_VIEW, MORE_VIEW = 39.0, 9.0  # height of the side view, and what makes it easy to read [mm]
MOST_VIEW = 84.0  # with its words [mm]
_NAMES, _KEYS = 25.5, 34.0  # width of the first columns [mm]
_GAP = 1.15  # between words [mm]
_HALF = 0.36 * POINT  # of capital letters [mm per pt]

_Word = tuple[str, float]  # with its size [pt]


@dataclass(frozen=True, slots=True)
class _Cut:
    """How much is said where room is short.

    Attributes:
        open: Most lines of what is not settled, and of what is in the way.
        order: Largest size of what to order [pt].
        datum: Whether the datum is said again.
        brief: Whether words beside a key number keep to one line.
    """

    open: int
    order: float = KEY
    datum: bool = True
    brief: bool = False


_CUTS = (
    _Cut(3), _Cut(3, 12), _Cut(2, 12), _Cut(2, 12, datum=False), _Cut(1, 12, datum=False),
    _Cut(1, READING, datum=False), _Cut(1, READING, datum=False, brief=True),
)  # fmt: skip


def write_answer(answer: Answer, folder: Path, paper: PaperName = "a4") -> Path:
    """Write the answer as one PDF page, ``answer.pdf``.

    Args:
        answer: What to say.
        folder: Where the file belongs.
        paper: Size of the page.

    Raises:
        EngineError: If it does not fit on the page.
    """
    scene = answer.scene
    caution = f"{UNDER} {CAUTION}"
    label = Label("Answer", scene.title, answer.name, scene.digest, caution)
    words = len(_view_words(answer, PAPERS[paper][0] - 2 * MARGIN)) if answer.sound else 0
    least = LEAST_VIEW + words * READING * STEP if answer.sound else 0.0
    room, cut = _roomy(answer, label, paper, least)
    view = min(MOST_VIEW, room) if answer.sound and room >= least else 0.0
    fill = _fill(answer, cut, view, lengths=answer.sound and not view)
    return write_sheet(folder / NAME, label, fill, paper=paper, one_page=True)


def _roomy(answer: Answer, label: Label, paper: PaperName, least: float) -> tuple[float, _Cut]:
    """Return how little is cut so that a large view finds room, or else a view of a least height.

    With the room that is left [mm].
    """
    found = []
    for cut in _CUTS:
        found.append((room_left(label, _fill(answer, cut), paper=paper), cut))
        if found[-1][0] >= (least + MORE_VIEW if answer.sound else 0.0):
            return found[-1]
    return next((one for one in reversed(found[:-1]) if one[0] >= least), found[-1])


def _fill(
    answer: Answer, cut: _Cut, view: float = 0.0, *, lengths: bool = False
) -> Callable[[Sheet], None]:
    """Return what fills a page, with a side view of a height [mm], or its lengths in words."""

    def fill(sheet: Sheet) -> None:
        _head(sheet, answer)
        if view:
            _view(sheet, answer, view)
        elif lengths:  # no room for it
            sheet.paragraph(f"Center to center: {length_line(answer)}.", 11, True)
        if answer.sound:
            _hang(sheet, answer, cut.datum)
        else:
            _section(sheet, "In the way", answer.in_the_way[: cut.open + 1])
        _table(sheet, "What matters", answer.matters, cut, READING if cut.brief else KEY)
        if answer.felt:
            sheet.paragraph(f"Complaints: {answer.felt}.")
        if answer.sound:
            _table(sheet, "Order", answer.order, cut, cut.order)
            sheet.space(0.8)
            sheet.heading("Before you drill" if answer.hangs else "Before you order")
            sheet.ticks(answer.before)
        _section(sheet, "Not settled, and what settles it", _most(answer.unsettled, cut.open))
        sheet.space(1)
        sheet.paragraph(answer.holds)

    return fill


def _most(said: Sequence[str], most: int) -> list[str]:
    """Return so many sentences at most, the last one with where there are more."""
    *kept, last = said[:most]
    return [*kept, f"{last} More: halfturn check --all." if len(said) > most else last]


def _view(sheet: Sheet, answer: Answer, high: float) -> None:
    """Draw the side view in a height [mm], its words below it included."""
    lines = len(_view_words(answer, sheet.wide))
    low = sheet.y + high - lines * READING * STEP - 1.0
    scale = draw_side_view(sheet, answer, Box(sheet.left, sheet.y, sheet.right, low))
    sheet.y = low
    for line in _view_words(answer, sheet.wide, f"{scale.one_to:g}"):
        sheet.paragraph(line)
    sheet.space(1.0)


def _view_words(answer: Answer, wide: float, one_to: str = "100") -> list[str]:
    """Return the words below the side view, in lines of a width [mm]."""
    return wrap(f"1:{one_to}, {side_view_words(answer)}", wide)


def _head(sheet: Sheet, answer: Answer) -> None:
    """Set the answer in a few words, and why."""
    size = next((s for s in (20, 17, 14) if width_of(answer.headline, s, True) <= sheet.wide), 12)
    sheet.paragraph(answer.headline, size, True)
    sheet.space(0.5)
    sheet.paragraph(answer.why, 11)
    if answer.write:
        sheet.paragraph(answer.changed)
    if not answer.sound:
        sheet.paragraph("Order nothing and drill nothing yet; no lengths are given.", 11, True)
    sheet.space(1.5)


def _hang(sheet: Sheet, answer: Answer, datum_too: bool) -> None:
    """Set where each center bearing hangs, in a bold box."""
    if not answer.hangs:
        return
    rows: list[list[_Word]] = []
    for hang in answer.hangs:
        many = f" {hang.number}" if len(answer.hangs) > 1 else ""
        words = _plain(f"Bearing{many}")
        for length, where in hang.by_tape(answer.display):
            words += [(length, KEY), *_plain(where)]
        also = hang.from_rails(answer.display) if hang.hook else ()
        datum = f"Its center from the datum: {hang.from_datum(answer.display)}"
        rows += _rows(words, sheet.wide - 6)
        said = "; ".join((datum, *also, *hang.sags(answer.display)))
        rows += _rows(_plain(said), sheet.wide - 6)
    if datum_too:
        rows += _rows(_plain(f"Datum: {answer.scene.datum}."), sheet.wide - 6)
    height = sum(_high(row) for row in rows) + 2.4
    sheet.need(height + 2)
    sheet.rect(Box(sheet.left, sheet.y, sheet.right, sheet.y + height), BOLD)
    y = sheet.y + 1.2
    for row in rows:
        x, high = sheet.left + 3, _high(row)
        for word, size in row:
            x = sheet.text(x, y + 0.76 * high, word, size, size == KEY).right + _GAP
        y += high
    sheet.y += height + 2


def _plain(text: str) -> list[_Word]:
    """Return words between key numbers."""
    return [(word, READING) for word in text.split()]


def _rows(words: Sequence[_Word], wide: float) -> list[list[_Word]]:
    """Return words in rows no wider than a width [mm]."""
    rows: list[list[_Word]] = []
    x = wide
    for word, size in words:
        long = width_of(word, size, size == KEY)
        if x + long > wide:
            rows.append([])
            x = 0.0
        rows[-1].append((word, size))
        x += long + _GAP
    return rows


def _high(row: Sequence[_Word]) -> float:
    """Return the height of a row of words [mm]."""
    return max(size for _, size in row) * STEP


def _table(sheet: Sheet, name: str, lines: Sequence[Line], cut: _Cut, largest: float = KEY) -> None:
    """Set lines with their key numbers, those as large as fits."""
    sheet.space(0.8)
    sheet.heading(name)
    column = sheet.left + _NAMES
    wide = max(_KEYS, *(width_of(line.key, 11, True) + 2 for line in lines))
    for line in lines:
        start = column + wide if line.key else column
        room = sheet.right - start
        rows = [_first(line.words, room)] if cut.brief else wrap(line.words, room)
        sizes = (size for size in (KEY, 13.0, 11.0) if size <= largest)
        key = next((s for s in sizes if width_of(line.key, s, True) <= wide - 2), READING)
        height = max(len(rows) * READING * STEP, key * STEP if line.key else 0.0)
        sheet.need(height + 0.4)
        middle = sheet.y + height / 2
        sheet.text(sheet.left, middle + _HALF * READING, line.name, READING, True)
        sheet.text(column, middle + _HALF * key, line.key, key, True)
        y = middle + _HALF * READING - (len(rows) - 1) * READING * STEP / 2
        for number, row in enumerate(rows):
            sheet.text(start, y + number * READING * STEP, row)
        sheet.y += height + 0.4


def _first(words: str, room: float) -> str:
    """Return as many clauses of some words as stand in one line."""
    while width_of(words, READING, False) > room and ("; " in words or " (" in words):
        words = words[: max(words.rfind("; "), words.rfind(" ("))]
    return shortened(words, room)


def _section(sheet: Sheet, name: str, lines: Sequence[str]) -> None:
    """Set sentences under a heading; nothing where there are none."""
    if not lines:
        return
    sheet.heading(name)
    for line in lines:
        sheet.paragraph(line)
        sheet.space(0.6)
