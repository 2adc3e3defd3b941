"""Build sheet: where the bracket of every bearing belongs, left and right, as a tape finds it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.display import DisplayName, on_tape
from sim.explore.allowed import Allowed
from sim.judge.notes import planned_words
from sim.measure.hook import hook_near
from sim.measure.sag import sags_of
from sim.scene.parts import Configuration
from sim.show.fitted import SAME, hole_words
from sim.show.paper.build_words import mark_words, room_words
from sim.show.paper.kit import Cell, Sheet

_KEY = 14.0  # size of the numbers to hang by [pt]
BOTH = ("left", "right")


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One length that a tape finds of a bracket.

    Attributes:
        what: From where to where.
        length: As designed [m].
        may: What it may be, in words; "" where nothing is known of it.
        sides: On which sides it is read, "left", "right" or both; () for what is read once.
    """

    what: str
    length: float
    may: str
    sides: tuple[str, ...] = BOTH


def bracket_measures(
    configuration: Configuration, number: int, found: Allowed, display: DisplayName
) -> tuple[Measure, ...]:
    """Return what a tape finds of the bracket of a bearing.

    Args:
        configuration: The configuration.
        number: Of the bearing, from 1.
        found: How far it may be off.
        display: Units of the windows.

    Returns:
        Along the frame, up and down, to the sides.
    """
    bracket = _Bracket(configuration, number, found, display)
    return (*bracket.along(), *bracket.upright(), *bracket.aside())


class _Bracket:
    """One bearing with what holds it."""

    def __init__(
        self, configuration: Configuration, number: int, found: Allowed, display: DisplayName
    ) -> None:
        self.configuration, self.display = configuration, display
        self.bearing = configuration.bearings[number - 1].point
        brace = configuration.braces.get(number)
        self.brace = None if brace is None or brace.foot is None else brace
        which = f" {number}" if len(configuration.bearings) > 1 else ""
        self.center, self.foot = f"Bearing{which}", f"Foot{which}"
        self.rooms = {key: found.room(f"bearing {number} {key}") for key in ("aft", "up", "right")}

    def along(self) -> Iterator[Measure]:
        """Yield how far along the frame: from what a tape can hook on, and from the datum."""
        aft, what = float(self.bearing[0]), self.center
        if self.brace is not None:
            aft, what = self.brace.foot_at(self.bearing)[0], self.foot
        hook = hook_near(self.configuration, aft)
        if hook is not None:
            face = f"the {hook.face} face of the {hook.name}"
            yield self._measure(what, aft - hook.aft, ("behind", "ahead of"), face, "aft")
        yield self._measure(what, aft, ("aft of", "forward of"), "the datum", "aft")

    def upright(self) -> Iterator[Measure]:
        """Yield how far up or down: from each rail's bottom edge, or else from the next best."""
        up, rails, ways = float(self.bearing[2]), self.configuration.rails, ("above", "below")
        if not rails:
            hook = hook_near(self.configuration, float(self.bearing[0]))
            to, base = "the datum", 0.0
            if hook is not None:
                to, base = f"the lower edge of the {hook.name}", hook.under
            yield self._measure(self.center, up - base, ways, to, "up")
            return
        heights = [(self.center, up, "up")]
        if self.brace is not None:  # with hole rows it stays where it is bolted
            moves = "up" if self.brace.row_pitch is None else ""
            heights.insert(0, (self.foot, self.brace.foot_at(self.bearing)[1], moves))
        alike = abs(rails[0].up - rails[1].up) < SAME
        for what, height, key in heights:
            for rail in rails[:1] if alike else rails:
                edge = f"the {'' if alike else f'{rail.side} '}rail's bottom edge"
                sides = BOTH if alike else (rail.side,)
                yield self._measure(what, height - rail.up, ways, edge, key, sides)

    def aside(self) -> Iterator[Measure]:
        """Yield how far from each rail; of several bearings from the left one, to fit the page."""
        right, ways = float(self.bearing[1]), ("right of", "left of")
        if not self.configuration.rails:
            if abs(right) >= SAME:
                yield self._measure(
                    self.center, right, ways, "the middle of the vehicle", "right", ()
                )
            return
        sides = list(zip(self.configuration.rails, (1, -1), strict=True))
        for rail, way in sides[:1] if len(self.configuration.bearings) > 1 else sides:
            length = rail.apart + way * right
            may = room_words(self.rooms["right"], length, way, self.display)
            what = f"{self.center}, from the {rail.side} rail's outer face"
            yield Measure(what=what, length=length, may=may, sides=(rail.side,))

    def _measure(
        self,
        what: str,
        signed: float,
        ways: tuple[str, str],
        to: str,
        key: str,
        sides: tuple[str, ...] = BOTH,
    ) -> Measure:
        """Return a signed length [m] as what a tape shows, in the word for its way."""
        way = 1 if signed >= 0 else -1
        may = room_words(self.rooms.get(key), abs(signed), way, self.display)
        word = ways[0] if way > 0 else ways[1]
        return Measure(what=f"{what}, {word} {to}", length=abs(signed), may=may, sides=sides)


def draw_brackets(
    sheet: Sheet, configuration: Configuration, found: Allowed, datum: str, display: DisplayName
) -> None:
    """Set where the brackets belong, with boxes left and right."""
    sheet.space(2.5)
    sheet.heading("Bracket: square and level to the frame", below=40)
    unit = "mm" if display == "metric" else "in"
    rows = []
    for number in range(1, len(configuration.bearings) + 1):
        for one in bracket_measures(configuration, number, found, display):
            key = Cell(on_tape(one.length, display, unit=False), _KEY, True)
            boxes = [Cell(box=side in (one.sides or BOTH[:1])) for side in BOTH]
            rows.append([Cell(one.what), key, Cell(one.may), *boxes])
    level = [Cell("Brace less rails, level across"), Cell("0.0 deg", 11, True), Cell()]
    rows.append([*level, Cell(box=True), Cell()])
    sheet.table([74, 25, 43, 22, 22], rows, head=["", f"at [{unit}]", "may be", "left", "right"])
    numbers = range(1, len(configuration.bearings) + 1)
    rowed = " ".join(said for n in numbers if (said := hole_words(configuration, n, display)))
    if rowed:
        sheet.paragraph(rowed, 11, True)
    for sag in sags_of(configuration):
        if said := planned_words(sag, display):
            sheet.paragraph(f"Bearing {sag.bearing}, {said}.")
    feet = any(b.foot is not None for b in configuration.braces.values())
    foot = " Foot: the middle of its holes." if feet else ""
    may = f"May be: all else as designed{mark_words(rows)}."
    sheet.paragraph(f"Bearing: its center.{foot} {may} Datum: {datum}.")
