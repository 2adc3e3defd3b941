"""Build sheet: where the bracket of every bearing belongs, left and right, as a tape finds it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.display import DisplayName, on_tape
from sim.explore.allowed import Allowed
from sim.explore.allowed_rooms import Room
from sim.measure.hook import hook_near
from sim.scene.parts import Configuration
from sim.show.paper.build_words import room_words
from sim.show.paper.kit import Cell, Sheet

_KEY = 13.0  # size of the numbers to hang by [pt]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One length that a tape finds left and right.

    Attributes:
        what: From where to where.
        left, right: The length on either side [m].
        left_may, right_may: What it may be, in words; "" where nothing is known of it.
    """

    what: str
    left: float
    right: float
    left_may: str
    right_may: str


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
    return tuple(_Bracket(configuration, number, found, display).measures())


class _Bracket:
    """One bearing with what holds it."""

    def __init__(
        self, configuration: Configuration, number: int, found: Allowed, display: DisplayName
    ) -> None:
        self.configuration, self.display = configuration, display
        self.bearing = configuration.bearings[number - 1].point
        self.brace = configuration.braces.get(number)
        self.foot = None if self.brace is None else self.brace.foot
        self.rooms = {key: found.room(f"bearing {number} {key}") for key in ("aft", "up", "right")}

    def measures(self) -> Iterator[Measure]:
        """Yield what a tape finds."""
        yield from self._along()
        yield from self._upright()
        yield from self._aside()

    def _same(self, what: str, length: float, room: Room | None, way: int) -> Measure:
        """Return a length that is alike on both sides."""
        may = room_words(room, length, way, self.display)
        return Measure(what=what, left=length, right=length, left_may=may, right_may=may)

    def _along(self) -> Iterator[Measure]:
        """Yield how far along the frame."""
        aft, what = float(self.bearing[0]), "Bearing center"
        if self.brace is not None and self.foot is not None:
            aft, what = self.brace.foot_at(self.bearing)[0], "Middle of the foot's holes"
        hook = hook_near(self.configuration, aft)
        if hook is not None:
            way = 1 if aft >= hook.aft else -1
            side = "behind" if way > 0 else "ahead of"
            to = f"{what}, {side} the {hook.face} face of the {hook.name}"
            yield self._same(to, abs(aft - hook.aft), self.rooms["aft"], way)
        way = 1 if aft >= 0 else -1
        side = "behind" if way > 0 else "ahead of"
        yield self._same(f"{what}, {side} the datum", abs(aft), self.rooms["aft"], way)

    def _upright(self) -> Iterator[Measure]:
        """Yield how far up or down."""
        up, rails = float(self.bearing[2]), self.configuration.rails
        if not rails:
            hook = hook_near(self.configuration, float(self.bearing[0]))
            from_, base = ("the datum", 0.0) if hook is None else (f"the {hook.name}", hook.under)
            way = 1 if up >= base else -1
            what = f"Bearing center, {'above' if way > 0 else 'below'} {from_}"
            what += "" if hook is None else "'s lower edge"
            yield self._same(what, abs(up - base), self.rooms["up"], way)
            return
        if self.brace is not None and self.foot is not None:
            rises = self.brace.row_pitch is None  # else it stays where it is bolted
            height = self.brace.foot_at(self.bearing)[1]
            room = self.rooms["up"] if rises else None
            yield self._from_rails("Middle of the foot's holes", height, room)
        yield self._from_rails("Bearing center", up, self.rooms["up"])

    def _from_rails(self, what: str, height: float, room: Room | None) -> Measure:
        """Return a height from the bottom edge of each rail."""
        left, right = (height - rail.up for rail in self.configuration.rails)
        way = 1 if left >= 0 else -1
        mays = [room_words(room, way * side, way, self.display) for side in (left, right)]
        return Measure(
            what=f"{what}, {'above' if way > 0 else 'below'} the rail's bottom edge",
            left=way * left,
            right=way * right,
            left_may=mays[0],
            right_may=mays[1],
        )

    def _aside(self) -> Iterator[Measure]:
        """Yield how far from each side."""
        right, rails, room = float(self.bearing[1]), self.configuration.rails, self.rooms["right"]
        if rails:
            lengths = rails[0].apart + right, rails[1].apart - right
            mays = [
                room_words(room, long, way, self.display)
                for long, way in zip(lengths, (1, -1), strict=True)
            ]
            yield Measure(
                what="Bearing center, from the outer face of the rail",
                left=lengths[0],
                right=lengths[1],
                left_may=mays[0],
                right_may=mays[1],
            )
        elif abs(right) >= 5e-4:
            side = "right" if right > 0 else "left"
            way = 1 if right > 0 else -1
            yield self._same(f"Bearing center, {side} of the middle", abs(right), room, way)


def draw_brackets(
    sheet: Sheet, configuration: Configuration, found: Allowed, datum: str, display: DisplayName
) -> None:
    """Set where the brackets belong, left and right, with boxes."""
    count = len(configuration.bearings)
    sheet.heading("Bracket: square and level, the same left and right", below=40)
    head = ["", "Left", "may be", "read", "Right", "may be", "read"]
    rows = []
    for number in range(1, count + 1):
        lead = f"Bearing {number}. " if count > 1 else ""
        for one in bracket_measures(configuration, number, found, display):
            cells = [Cell(lead + one.what)]
            for length, may in ((one.left, one.left_may), (one.right, one.right_may)):
                key = Cell(on_tape(length, display), _KEY, True)
                cells += [key, Cell(may), Cell(box=True)]
            rows.append(cells)
            lead = ""
    flat = [Cell("Level across: angle finder, brace less rails"), Cell("0.0 deg", _KEY, True)]
    rows.append(
        [*flat, Cell(""), Cell(box=True), Cell("diagonals alike"), Cell(""), Cell(box=True)]
    )
    sheet.table([52, 24, 23, 20, 24, 23, 20], rows, head=head)
    sheet.paragraph(f"The datum of the scene: {datum}.")
