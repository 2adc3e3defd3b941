"""The side view of a driveline to scale, with the lengths that a tape can find."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from sim.display import on_tape
from sim.scene.parts import Configuration, Obstacle
from sim.show.answer import Answer
from sim.show.answer_places import Point, Span
from sim.show.paper.kit import (
    CENTER_LINE,
    HIDDEN_LINE,
    KEY,
    POINT,
    READING,
    STEP,
    Box,
    Scale,
    Sheet,
    width_of,
    wrap,
)

_ABOVE, _BELOW = 18.5, 10.0  # room for lengths above and below the drawing [mm]
_DISC, _BAR = 2.7, 4.2  # radius of a joint, half height of a bearing [mm]
_LEAST = 0.7  # so high is the thinnest part drawn [mm]
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


def draw_side_view(sheet: Sheet, answer: Answer, box: Box) -> None:
    """Draw a design from the left at ride height, front to the left.

    Args:
        sheet: Where.
        answer: What.
        box: Room for it, its legend included.
    """
    c = answer.result.configuration
    points = [answer.spans[0].start, *(span.end for span in answer.spans)]
    parts = _crossing(c)
    legend = _legend(c, parts)
    low = box.bottom - len(wrap(legend, sheet.wide)) * READING * STEP - 1.5
    scale = _scale(c, points, parts, Box(box.left, box.top + _ABOVE, box.right, low - _BELOW))
    _chain_of_lengths(sheet, answer, scale, box.top)
    for up in sorted({rail.up for rail in c.rails}):
        y = scale.at(0.0, up)[1]
        sheet.line(sheet.left, y, sheet.right, y, 0.15, HIDDEN_LINE, behind=True)
    boxes = _obstacles(sheet, parts, scale)
    _shafts(sheet, c, points, scale)
    _axle(sheet, c, points[-1], scale)
    _letters(sheet, boxes)
    _hooks(sheet, answer, scale, low)
    sheet.y = low + 0.5
    sheet.paragraph(legend.format(scale=f"{scale.one_to:g}"))


def _crossing(c: Configuration) -> list[Obstacle]:
    """Return what is drawn: fixed parts that lie across the middle of the vehicle."""
    return [
        part
        for part in c.obstacles
        if part.pipe is None
        and min(part.start[1], part.end[1]) < 0 < max(part.start[1], part.end[1])
    ][: len(_LETTERS)]


def _legend(c: Configuration, parts: Sequence[Obstacle]) -> str:
    """Return the words below the drawing; its scale is filled in later."""
    said = "1:{scale}, ride height, front left; numbers are joints, bars bearings. "
    named = (f"{letter} {part.name}" for letter, part in zip(_LETTERS, parts, strict=False))
    other = [part.name for part in c.obstacles if all(part is not one for one in parts)]
    said += "; ".join(named) + "." if parts else ""
    said = said.replace("{scale}", "\0")
    said += " Dashed across: the rails' bottom edges." if c.rails else ""
    said += f" Not drawn: {', '.join(other)}." if other else ""
    return said.replace("{", "{{").replace("}", "}}").replace("\0", "{scale}")


def _scale(c: Configuration, points: Sequence[Point], parts: Sequence[Obstacle], box: Box) -> Scale:
    """Return the scale at which everything from the output to the axle fits."""
    ends = [float(p.place[0]) for p in points] + [float(c.axle[0])]
    first, last = min(ends) - 0.1, max(ends) + 0.1
    heights = [float(p.place[2]) for p in points] + [float(c.axle[2])]
    heights += [float(max(p.start[2], p.end[2])) for p in parts] + [r.up for r in c.rails]
    return Scale.fitting(box, (first, last), (min(heights) - 0.05, max(heights)))


def _chain_of_lengths(sheet: Sheet, answer: Answer, scale: Scale, top: float) -> None:
    """Draw the lengths from center to center above the driveline."""
    line = top + 12.0
    places = [scale.at(p.place[0], p.place[2]) for p in _points(answer.spans)]
    for x, y in places:
        sheet.line(x, line - 1.5, x, y - _BAR - 0.6, 0.15, HIDDEN_LINE, behind=True)
    for span, (a, b) in zip(answer.spans, pairwise(x for x, _ in places), strict=True):
        text, size = on_tape(span.length, answer.display.name), KEY
        if width_of(text, size, True) > b - a:  # short: smaller, in a row of its own above
            sheet.line(a, line, b, line, 0.25, behind=True)
            sheet.head(a, line, math.pi)
            sheet.head(b, line, 0.0)
            _short(sheet, (a + b) / 2, line - 8.2, text)
        else:
            sheet.dimension_across(a, b, line, text, size)


def _short(sheet: Sheet, x: float, y: float, text: str) -> None:
    """Set a length too short for its number in a row above the others, where there is room."""
    if sheet.is_free(sheet.box_of(x, y, text, 11, True, "center")):
        sheet.text(x, y, text, 11, True, "center")


def _points(spans: Sequence[Span]) -> list[Point]:
    """Return the points between which lengths run."""
    return [spans[0].start, *(span.end for span in spans)]


def _obstacles(sheet: Sheet, parts: Sequence[Obstacle], scale: Scale) -> list[Box]:
    """Hatch the fixed parts that lie across; return where each was drawn."""
    drawn = []
    for part in parts:
        (x, low), (to_x, high) = (
            scale.at(pick(part.start[0], part.end[0]), pick(part.start[2], part.end[2]))
            for pick in (min, max)
        )
        left, right = max(x, sheet.left), min(max(to_x, x + _LEAST), sheet.right)
        box = Box(min(left, right), min(high, low - _LEAST), right, low)
        if left < right:
            sheet.hatch(box)
        drawn.append(box)
    return drawn


def _letters(sheet: Sheet, boxes: Sequence[Box]) -> None:
    """Set a letter by each part, where there is room."""
    em = 11 * POINT
    for letter, box in zip(_LETTERS, boxes, strict=False):
        middle = (box.left + box.right) / 2
        above, below, level = box.top - 1.0, box.bottom + em, (box.top + box.bottom + em) / 2
        sides = ((box.right + em, level), (box.left - em, level))
        for x, y in ((middle, above), (middle, below), *sides, (middle, above - em)):
            if sheet.is_free(sheet.box_of(x, y, letter, 11, True, "center")):
                sheet.text(x, y, letter, 11, True, "center")
                break


def _shafts(sheet: Sheet, c: Configuration, points: Sequence[Point], scale: Scale) -> None:
    """Draw tubes and center lines, joints as numbered discs, bearings as bars."""
    joints = [p for p in points if p.name.startswith("joint")]
    bearings = [p for p in points if p.name.startswith("bearing")]
    ends = [*((p, 2.4) for p in bearings), (joints[-1], 4.5)]
    for shaft, start, (end, off) in zip(c.shafts, joints, ends, strict=False):
        (x, y), (to_x, to_y) = (scale.at(p.place[0], p.place[2]) for p in (start, end))
        way = math.atan2(to_y - y, to_x - x)
        along, across = (math.cos(way), math.sin(way)), (-math.sin(way), math.cos(way))
        half = max(scale.long(shaft.tube.outside) / 2, 0.6)
        for side in (-half, half):
            tube = [
                (px + far * along[0] + side * across[0], py + far * along[1] + side * across[1])
                for px, py, far in ((x, y, 4.5), (to_x, to_y, -off))
            ]
            sheet.lines(tube, 0.45)
    centers = [scale.at(p.place[0], p.place[2]) for p in joints]
    sheet.lines(centers, 0.15, CENTER_LINE, behind=True)
    for number, point in enumerate(joints, start=1):
        x, y = scale.at(point.place[0], point.place[2])
        sheet.disc(x, y, _DISC, white=True)
        sheet.text(x, y + 0.36 * READING * POINT, str(number), READING, True, "center")
    for point in bearings:
        x, y = scale.at(point.place[0], point.place[2])
        for side in (-1.1, 1.1):
            sheet.line(x + side, y - _BAR, x + side, y + _BAR, 1.1, behind=True)


def _axle(sheet: Sheet, c: Configuration, pinion: Point, scale: Scale) -> None:
    """Draw the pinion's axis up to the axle center."""
    x, y = scale.at(pinion.place[0], pinion.place[2])
    to_x, to_y = scale.at(c.axle[0], c.axle[2])
    way = math.atan2(to_y - y, to_x - x)
    if math.hypot(to_x - x, to_y - y) > 2 * _DISC:
        sheet.line(x + _DISC * math.cos(way), y + _DISC * math.sin(way), to_x, to_y, 0.7)
    sheet.disc(to_x, to_y, 1.0)


def _hooks(sheet: Sheet, answer: Answer, scale: Scale, low: float) -> None:
    """Draw where each bearing hangs from what a tape can hook on."""
    for hang in answer.hangs:
        if hang.hook is None:
            continue
        x, y = scale.at(hang.place[0], hang.place[2])
        face, edge = scale.at(hang.hook.aft, hang.hook.under)
        if not sheet.left < face < sheet.right:
            continue
        along, below = (on_tape(abs(far), answer.display.name) for far in (hang.along, hang.below))
        _along(sheet, along, (x, y), (face, edge), low - 3.2)
        if len(answer.hangs) == 1:
            _below(sheet, below, (x, y), (face, edge))


def _along(
    sheet: Sheet, text: str, at: tuple[float, float], hook: tuple[float, float], row: float
) -> None:
    """Draw how far a bearing is ahead of or behind the hook, its number on the bearing's side."""
    (x, y), (face, edge) = at, hook
    base = row + 0.36 * KEY * POINT
    if x < face:
        room = sheet.box_of(x - 1.2, base, text, KEY, True, "right")
    else:
        room = sheet.box_of(x + 1.2, base, text, KEY, True)
    if not sheet.is_free(room):
        return
    sheet.line(face, edge, face, row + 1, 0.15, HIDDEN_LINE, behind=True)
    sheet.line(x, y + _BAR, x, row + 1, 0.15, HIDDEN_LINE, behind=True)
    sheet.dimension_across(x, face, row, text, KEY, beside="left" if x < face else "right")


def _below(sheet: Sheet, text: str, at: tuple[float, float], hook: tuple[float, float]) -> None:
    """Draw how far a bearing is below or above the edge of the hook, where there is room."""
    (x, y), (face, edge) = at, hook
    place = face + (3.0 if face > x else -3.0)
    down = math.copysign(math.pi / 2, y - edge)
    for drop in (7.0, 10.0, 13.0, 16.0):
        base = max(y, edge) + drop
        if sheet.is_free(sheet.box_of(place + 1.5, base, text, KEY, True)):
            sheet.line(x, y, place + math.copysign(1.0, place - x), y, 0.15, behind=True)
            sheet.line(place, min(y, edge), place, base, 0.25, behind=True)
            sheet.head(place, edge, -down)
            sheet.head(place, y, down)
            sheet.text(place + 1.5, base, text, KEY, True)
            return
