"""One tile of a drilling template: edges, holes, station line and dimensions at true scale."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.display import DisplayName, on_tape
from sim.judge.drilling_plan import DrillingPlan, RailPlan
from sim.judge.holes import Drilled
from sim.scene.parts import Hole
from sim.show.paper.kit import (
    BOLD,
    CENTER_LINE,
    HIDDEN_LINE,
    PLAIN,
    POINT,
    READING,
    THIN,
    Box,
    Sheet,
    width_of,
)
from sim.show.paper.template_words import hole_name

BARS, BESIDE = 12.0, 13.0  # room for the check bars below and beside the drawing [mm]
CROSS = 5.0  # how far the cross of a hole reaches beyond it [mm]


@dataclass(frozen=True, slots=True)
class Region:
    """A part of the rail, seen from outside, in mm: along from the station line, up from its edge.

    Attributes:
        left: Along, to the left as seen.
        low: Up.
        right: Along.
        high: Up.
    """

    left: float
    low: float
    right: float
    high: float

    def holds(self, along: float, up: float, reach: float) -> bool:
        """Return whether a circle lies wholly inside."""
        inside = self.left + reach <= along <= self.right - reach
        return inside and self.low + reach <= up <= self.high - reach


def along_rail(one: RailPlan, middle: float, aft: float) -> float:
    """Return how far right of the station line a station [m] is seen from outside [mm].

    Whoever stands at the left of the vehicle sees its front at the left; at the right, at the
    right.
    """
    return (aft - middle) * (1e3 if one.rail.side == "left" else -1e3)


class Tile:
    """One tile on its page."""

    def __init__(
        self,
        sheet: Sheet,
        plan: DrillingPlan,
        one: RailPlan,
        display: DisplayName,
        region: Region,
    ) -> None:
        self.sheet, self.plan, self.one, self.display = sheet, plan, one, display
        self.region = region
        room = sheet.wide - BESIDE - (region.right - region.left)
        self._left = sheet.left + room / 2 - region.left
        self._low = sheet.bottom - BARS - 1 + region.low

    def at(self, along: float, up: float) -> tuple[float, float]:
        """Return a place on the rail on the page [mm]."""
        return self._left + along, self._low - up

    def hole_at(self, hole: Drilled | Hole) -> tuple[float, float]:
        """Return a hole, along and up [mm]."""
        return along_rail(self.one, self.plan.middle, hole.aft), hole.up * 1e3

    def draw(self) -> None:
        """Draw rail, holes and dimensions."""
        self._edges()
        self._holes()
        self._station()
        self._dimensions()
        self._names()
        self._edge_names()

    def _across(self, up: float, wide: float, dash: tuple[float, ...] = ()) -> None:
        """Draw a line along the rail."""
        if self.region.low <= up <= self.region.high:
            start, end = (self.at(x, up) for x in (self.region.left, self.region.right))
            self.sheet.line(*start, *end, wide, dash, behind=True)

    def _edges(self) -> None:
        """Draw both edges of the rail and the inside of its flanges."""
        rail = self.one.rail
        high, wall = rail.height * 1e3, rail.wall * 1e3
        for up in (0.0, high):
            self._across(up, BOLD)
        for up in (wall, high - wall):
            self._across(up, THIN, HIDDEN_LINE)

    def _edge_names(self) -> None:
        """Name both edges of the rail and the inside of a flange, where there is room."""
        rail = self.one.rail
        self._along_edge("bottom edge of the rail", 0.0, 4.4, True)
        self._along_edge("top edge of the rail", rail.height * 1e3, -1.6, True)
        self._along_edge("inside of the flange", rail.wall * 1e3, -1.6, False)

    def _along_edge(self, name: str, up: float, drop: float, bold: bool) -> None:
        """Set a name along a line of the rail."""
        long = width_of(name, READING, bold)
        start, end = self.region.left + 2, self.region.right - long - 2
        for share in (0.2, 0.9, 0.0, 0.45, 0.65):
            x, y = self.at(start + share * (end - start), up)
            box = Box(x - 2, y + drop - 3, x + long + 2, y + drop + 1)
            if self.region.low <= up <= self.region.high and self.sheet.is_free(box):
                self.sheet.text(x, y + drop, name, READING, bold)
                return

    def _station(self) -> None:
        """Draw the station line, but not over holes and the dimension across."""
        if not self.region.left <= 0 <= self.region.right:
            return
        for low, high in self._station_parts():
            (x, y), (_, to_y) = self.at(0, low), self.at(0, high)
            self.sheet.line(x, y, x, to_y, 0.25, CENTER_LINE, behind=True)
            for end, base in ((low, y - 1), (high, to_y + 3)):
                box = Box(x + 2, base - 3, x + 5, base)
                if end in (self.region.low, self.region.high) and self.sheet.is_free(box):
                    self.sheet.text(x + 2, base, "S", READING, True)

    def _station_parts(self) -> list[tuple[float, float]]:
        """Return where the station line runs up the tile, from and to."""
        reach = self.plan.foot.hole * 500 + CROSS
        places = [self.hole_at(hole) for hole in self.one.holes]
        gaps = [(up - reach - 2, up + reach + 2) for along, up in places if abs(along) < reach]
        if self.plan.foot.columns > 1:
            highest = max(up for _, up in places)
            gaps.append((highest + reach, highest + reach + 10))
        parts, start = [], self.region.low
        for low, high in [*sorted(set(gaps)), (self.region.high, self.region.high)]:
            if min(low, self.region.high) - start > 5:
                parts.append((start, min(low, self.region.high)))
            start = max(start, high)
        return parts

    def _holes(self) -> None:
        """Draw new holes with a cross to punch, old ones without, those that break crossed out."""
        radius = self.plan.foot.hole * 500
        for hole in self.one.holes:
            along, up = self.hole_at(hole)
            if self.region.holds(along, up, radius + CROSS):
                self._hole(self.at(along, up), radius, hole)
        for old in self.one.rail.holes:
            along, up = self.hole_at(old)
            if self.region.holds(along, up, old.diameter * 500):
                x, y = self.at(along, up)
                self.sheet.circle(x, y, old.diameter * 500, PLAIN)
                self.sheet.circle(x, y, max(old.diameter * 500 - 1.2, 0.3), THIN)
                self._hold(x, y, old.diameter * 500)

    def _hole(self, place: tuple[float, float], radius: float, hole: Drilled) -> None:
        """Draw one hole of the foot."""
        (x, y), far = place, radius + CROSS
        self.sheet.circle(x, y, radius, PLAIN)
        if hole.broken:
            side = radius * 0.7 + 2.5
            self.sheet.line(x - side, y - side, x + side, y + side, BOLD, behind=True)
            self.sheet.line(x - side, y + side, x + side, y - side, BOLD, behind=True)
        elif not hole.uses and self.plan.keeps:
            self.sheet.line(x - far, y, x + far, y, THIN, behind=True)
            self.sheet.line(x, y - far, x, y + far, THIN, behind=True)
        self._hold(x, y, radius)

    def _hold(self, x: float, y: float, radius: float) -> None:
        """Keep names off a hole."""
        box = Box(x - radius, y - radius, x + radius, y + radius)
        if self.sheet.is_free(box.grown(-0.3)):
            self.sheet.keep(box, "a hole")

    def _names(self) -> None:
        """Name the holes of the foot, then old ones."""
        radius = self.plan.foot.hole * 500
        for hole in self.one.holes:
            along, up = self.hole_at(hole)
            if self.region.holds(along, up, radius + CROSS):
                said = hole_name(self.one, hole.number)
                said += (
                    f": old hole, {hole.uses}" if hole.uses else " breaks" if hole.broken else ""
                )
                self._name(*self.at(along, up), radius, said)
        used = {hole.uses for hole in self.one.holes}
        for old in self.one.rail.holes:
            along, up = self.hole_at(old)
            if old.name not in used and self.region.holds(along, up, old.diameter * 500):
                self._name(*self.at(along, up), old.diameter * 500, f"{old.name} (old hole)")

    def _name(self, x: float, y: float, radius: float, text: str) -> None:
        """Set a name where it is free, beside a hole."""
        em, long = READING * POINT, width_of(text, READING, True)
        rise, out = 0.76 * em, radius + 1.0
        above, below = y - out - 0.3 * em, y + out + rise
        sides = (x + out, x - out - long)
        over = (x - radius, x + radius - long)
        places = [(left, base) for base in (above + em, below - em) for left in sides]
        places += [(left, base) for base in (above, below) for left in over]
        for left, base in places:
            box = Box(left, base - rise, left + long, base + 0.24 * em)
            if self.sheet.is_free(box):
                self.sheet.text(left, base, text, READING, True)
                return

    def _dimensions(self) -> None:
        """Say how high the lowest row stands and how far apart the holes are."""
        foot = self.plan.foot
        places = [self.hole_at(hole) for hole in self.one.holes]
        left, right = min(a for a, _ in places), max(a for a, _ in places)
        low, high = min(u for _, u in places), max(u for _, u in places)
        radius = foot.hole * 500
        for side, at in ((-1, left), (1, right)):
            if self._heights(at + side * (radius + CROSS), side, low, high):
                break
        over = high + radius + CROSS + 3
        seen = self.region.holds(left, over, 1) and self.region.holds(right, over, 1)
        if foot.columns > 1 and seen and over + 6 < self.region.high:
            said = _pitches(foot.columns, foot.along, self.display)
            (x0, y), (x1, _) = self.at(left, over), self.at(right, over)
            if self.sheet.is_free(Box(min(x0, x1) - 6, y - 5.5, max(x0, x1) + 6, y + 1)):
                self.sheet.dimension_across(x0, x1, y, said)

    def _heights(self, start: float, side: int, low: float, high: float) -> bool:
        """Say how high the rows stand on one side of the holes, if there is room."""
        said = [(0.0, low, on_tape(low / 1e3, self.display))]
        if high > low:
            foot = self.plan.foot
            said.append((low, high, _pitches(foot.rows, foot.upright, self.display)))
        along = start + side * 5
        if any(not self._free(along, side, *one) for one in said):
            return False
        for up in {low, high}:
            (x0, y), (x1, _) = self.at(along + side * 2, up), self.at(start, up)
            self.sheet.line(x0, y, x1, y, THIN, behind=True)
        beside: Literal["left", "right"] = "left" if side < 0 else "right"
        for start_up, end_up, text in said:
            (x, y), (_, to_y) = self.at(along, start_up), self.at(along, end_up)
            self.sheet.dimension_upright(x, y, to_y, text, beside=beside)
        return True

    def _free(self, along: float, side: int, low: float, high: float, text: str) -> bool:
        """Return whether tile and page have room for a dimension up the rail."""
        (x, y), (_, to_y) = self.at(along, low), self.at(along, high)
        long, middle = width_of(text, READING, True) + 2, (y + to_y) / 2
        inside = all(
            self.region.holds(along + side * far, (low + high) / 2, 0) for far in (0, long)
        )
        inside = inside and self.region.low <= low and high <= self.region.high
        near, far = sorted((x + side, x + side * long))
        boxes = (Box(near, middle - 2, far, middle + 2), Box(x - 0.5, to_y - 5, x + 0.5, y + 5))
        return inside and all(self.sheet.is_free(box) for box in boxes)


def _pitches(count: int, pitch: float, display: DisplayName) -> str:
    """Return the distance of holes in a row, as in "2 × 38 mm"."""
    said = on_tape(pitch, display)
    return said if count == 2 else f"{count - 1} × {said}"
