"""Tiles of a drilling template: one rail at true scale, cut where it is larger than the page."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from sim.display import DisplayName
from sim.judge.drilling_plan import DrillingPlan, RailPlan
from sim.show.paper.kit import (
    PLAIN,
    READING,
    SMALLEST,
    STEP,
    THIN,
    Box,
    Sheet,
    shortened,
    wrap,
)
from sim.show.paper.template_rail import BARS, BESIDE, CROSS, Region, Tile, along_rail
from sim.show.paper.template_words import (
    DO_NOT,
    behind_words,
    drill_words,
    hole_name,
    station_words,
)

ASIDE = 36.0  # left free beside the outer holes, for their dimensions [mm]
OUTSIDE = 7.0  # left free above and below the rail [mm]
_NAME, _BANNER = 7.0, 9.0  # height of a tile's name, and of what stands over it [mm]
_SHOWN = 60.0  # old holes nearer to the foot than this are drawn where the page has room [mm]
_INCHES = 4 * 25.4


def draw_rail(sheet: Sheet, plan: DrillingPlan, one: RailPlan, display: DisplayName) -> None:
    """Draw a rail with its holes at true scale, on as many new pages as that takes."""
    widest = sheet.wide - BESIDE
    whole = _needed(plan, one, widest)
    sheet.next_page()
    said = _lines(plan, one, display)
    highest = sheet.room - BARS - _title_height(sheet, plan, said)
    overlap = max(20.0, plan.foot.hole * 1e3 + 2 * CROSS + 2)
    columns = _parts(whole.left, whole.right, widest, overlap)
    rows = _parts(whole.low, whole.high, highest, overlap)
    regions = [Region(left, low, right, high) for low, high in rows for left, right in columns]
    for k, region in enumerate(regions):
        if k:
            sheet.next_page()
        count = f"tile {k + 1} of {len(regions)}" if len(regions) > 1 else ""
        _title(sheet, plan, one, said, count)
        tile = Tile(sheet, plan, one, display, region)
        _marks(tile, columns, rows, overlap)
        tile.draw()
        _check_bars(sheet)


def _needed(plan: DrillingPlan, one: RailPlan, widest: float) -> Region:
    """Return what of a rail is drawn: the holes, old ones near them, both edges."""
    along = [along_rail(one, plan.middle, hole.aft) for hole in one.holes]
    aside = plan.foot.hole * 500 + ASIDE
    low, high = min(along) - aside, max(along) + aside
    for old in one.rail.holes:
        place, reach = along_rail(one, plan.middle, old.aft), old.diameter * 500 + 2
        wider = min(low, place - reach), max(high, place + reach)
        near = min(along) - _SHOWN < place < max(along) + _SHOWN
        if near and (wider[1] - wider[0] <= widest or high - low > widest):
            low, high = wider
    return Region(low, -OUTSIDE, high, one.rail.height * 1e3 + OUTSIDE)


def _parts(low: float, high: float, most: float, overlap: float) -> list[tuple[float, float]]:
    """Return a range in parts no longer than a page allows, each over the next one's edge."""
    if high - low <= most:
        return [(low, high)]
    count = math.ceil((high - low - overlap) / (most - overlap))
    long = (high - low - overlap) / count + overlap
    return [(low + k * (long - overlap), low + k * (long - overlap) + long) for k in range(count)]


# --- around the drawing --------------------------------------------------------------------------


def _title_height(sheet: Sheet, plan: DrillingPlan, said: Sequence[str]) -> float:
    """Return how high the title of a tile is [mm]."""
    lines = sum(len(wrap(text, sheet.wide - BESIDE)) for text in said)
    return _NAME + lines * READING * STEP + (0.0 if plan.keeps else _BANNER)


def _title(
    sheet: Sheet, plan: DrillingPlan, one: RailPlan, said: Sequence[str], count: str
) -> None:
    """Say which rail, which way is ahead, and where the station line is."""
    end = sheet.right - BESIDE
    if not plan.keeps:
        bar = sheet.keep(Box(sheet.left, sheet.y, end, sheet.y + _BANNER - 1), "do not drill")
        sheet.rect(bar.grown(-THIN), 2 * THIN, fill=True, behind=True)
        broken = (hole_name(rail, hole.number) for rail in plan.rails for hole in rail.broken)
        holes = ", ".join(broken)
        stop = f"{DO_NOT}: the guide is broken by {holes}"
        short = shortened(stop, bar.right - bar.left - 6, 12, True)
        sheet.text(sheet.left + 3, sheet.y + 5.6, short, 12, True, white=True)
        sheet.y += _BANNER
    name = ", ".join(part for part in (f"{one.rail.side.upper()} RAIL from outside", count) if part)
    base = sheet.y + 5
    if one.rail.side == "left":
        sheet.text(sheet.left, base, "◄ FRONT OF VEHICLE", 13, True)
        sheet.text(end, base, name, 13, True, "right")
    else:
        sheet.text(sheet.left, base, name, 13, True)
        sheet.text(end, base, "FRONT OF VEHICLE ►", 13, True, "right")
    sheet.y += _NAME
    for text in said:
        sheet.paragraph(text, wide=sheet.wide - BESIDE)


def _lines(plan: DrillingPlan, one: RailPlan, display: DisplayName) -> list[str]:
    """Return what stands over a tile: the drill, the station line, what is near."""
    near = "; ".join(behind_words(one, thing, display) for thing in one.behind)
    drill = [f"{drill_words(plan, display)} at the crosses."] if plan.keeps else []
    drill += [f"Near: {near}."] if near else []
    return [line for line in (" ".join(drill), station_words(plan, display)) if line]


def _check_bars(sheet: Sheet) -> None:
    """Draw bars of 100 mm and of 4 in, across and up the page."""
    y = sheet.bottom - BARS + 3.5
    for long, name in ((100.0, "100 mm"), (_INCHES, "4 in")):
        _bar(sheet, (sheet.left, y), (sheet.left + long, y))
        sheet.text(sheet.left + _INCHES + 3, y + 1.3, name, READING, True)
        y += 6
    note = "Measure all four bars first;"
    sheet.text(sheet.left + 122, y - 12 + 1.3, note)
    sheet.text(sheet.left + 122, y - 6 + 1.3, "print again where one is off.")
    x, top = sheet.right - 2.2, sheet.top + 1
    for long, name in ((100.0, "100 mm"), (_INCHES, "4 in")):
        _bar(sheet, (x, top), (x, top + long))
        sheet.text(x - 3, top + long / 2, name, READING, True, "center", upright=True)
        top += long + 6


def _bar(sheet: Sheet, start: tuple[float, float], end: tuple[float, float]) -> None:
    """Draw a bar from tick to tick [mm]."""
    sheet.line(*start, *end, PLAIN)
    across = start[1] == end[1]
    for x, y in (start, end):
        dx, dy = (0.0, 1.8) if across else (1.8, 0.0)
        sheet.line(x - dx, y - dy, x + dx, y + dy, PLAIN)


def _marks(
    tile: Tile,
    columns: Sequence[tuple[float, float]],
    rows: Sequence[tuple[float, float]],
    overlap: float,
) -> None:
    """Draw crosses where neighboring tiles overlap: cross goes on cross, by its letter."""
    aside = overlap + 5  # so that a tile beside shows none of them
    ends = (-OUTSIDE / 2, tile.one.rail.height * 1e3 + OUTSIDE / 2)
    places = [((a[1] + b[0]) / 2, up) for a, b in pairwise(columns) for up in ends]
    for below, above in pairwise(rows):
        up = (below[1] + above[0]) / 2
        places += [
            (along, up) for left, right in columns for along in (left + aside, right - aside)
        ]
    for k, (along, up) in enumerate(places):
        if tile.region.holds(along, up, 3.0):
            x, y = tile.at(along, up)
            tile.sheet.line(x - 3, y, x + 3, y, THIN)
            tile.sheet.line(x, y - 3, x, y + 3, THIN)
            tile.sheet.circle(x, y, 1.5, THIN)
            tile.sheet.text(x + 3.6, y + 1.05, chr(ord("A") + k % 26), SMALLEST, True)
