"""The side view of a driveline to scale, with the lengths that a tape can find."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from xml.sax.saxutils import escape

from sim.display import on_tape
from sim.scene.parts import Configuration, Obstacle
from sim.show.answer import Answer
from sim.show.answer_places import Point, Span
from sim.show.paper.kit import (
    CENTER_LINE,
    HIDDEN_LINE,
    KEY,
    PAPERS,
    POINT,
    READING,
    Box,
    Drawing,
    Scale,
    width_of,
)
from sim.show.paper.kit_svg import SvgCanvas

_ABOVE, _BELOW = 18.5, 10.0  # room for lengths above and below the drawing [mm]
_DISC, _BAR = 2.7, 4.2  # radius of a joint, half height of a bearing [mm]
_LEAST = 0.7  # so high is the thinnest part drawn [mm]
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


def draw_side_view(ink: Drawing, answer: Answer, box: Box) -> Scale:
    """Draw a design from the left at ride height, front to the left; return its scale.

    Args:
        ink: Where.
        answer: What.
        box: Room for it.
    """
    c = answer.result.configuration
    points = _points(answer.spans)
    parts = _crossing(c)
    room = Box(box.left, box.top + _ABOVE, box.right, box.bottom - _BELOW)
    scale = _scale(c, points, parts, room)
    _chain_of_lengths(ink, answer, scale, box.top)
    for up in sorted({rail.up for rail in c.rails}):
        y = scale.at(0.0, up)[1]
        ink.line(box.left, y, box.right, y, 0.15, HIDDEN_LINE, behind=True)
    drawn = _obstacles(ink, parts, scale, box)
    _shafts(ink, c, points, scale)
    _axle(ink, c, points[-1], scale)
    _letters(ink, drawn)
    _hooks(ink, answer, scale, box)
    return scale


def side_view_svg(answer: Answer) -> str:
    """Return the side view as SVG for a page of HTML, with its lengths in the same places."""
    high = 62.0
    canvas = SvgCanvas(PAPERS["a4"][1])
    ink = Drawing(canvas, "a4")
    left, top = ink.frame.left, ink.frame.top
    draw_side_view(ink, answer, Box(left, top, ink.frame.right, top + high))
    wide = ink.frame.right - left
    return (
        f'<svg class="view" viewBox="{left:g} {top:g} {wide:g} {high:g}" role="img" '
        f'aria-label="{escape(side_view_words(answer), {chr(34): "&quot;"})}">'
        f"{''.join(canvas.parts)}</svg>"
    )


def side_view_words(answer: Answer) -> str:
    """Return what the side view shows, and what it leaves out."""
    c = answer.result.configuration
    parts = _crossing(c)
    said = "ride height, front left; numbers are joints, bars bearings."
    named = (f"{letter} {part.name}" for letter, part in zip(_LETTERS, parts, strict=False))
    other = [part.name for part in c.obstacles if all(part is not one for one in parts)]
    said += f" {'; '.join(named)}." if parts else ""
    said += " Dashed across: the rails' bottom edges." if c.rails else ""
    return said + (f" Not drawn: {', '.join(other)}." if other else "")


def _crossing(c: Configuration) -> list[Obstacle]:
    """Return what is drawn: fixed parts that lie across the middle of the vehicle."""
    return [
        part
        for part in c.obstacles
        if part.pipe is None
        and min(part.start[1], part.end[1]) < 0 < max(part.start[1], part.end[1])
    ][: len(_LETTERS)]


def _scale(c: Configuration, points: Sequence[Point], parts: Sequence[Obstacle], box: Box) -> Scale:
    """Return the scale at which everything from the output to the axle fits."""
    ends = [float(p.place[0]) for p in points] + [float(c.axle[0])]
    first, last = min(ends) - 0.1, max(ends) + 0.1
    heights = [float(p.place[2]) for p in points] + [float(c.axle[2])]
    heights += [float(max(p.start[2], p.end[2])) for p in parts] + [r.up for r in c.rails]
    return Scale.fitting(box, (first, last), (min(heights) - 0.05, max(heights)))


def _chain_of_lengths(ink: Drawing, answer: Answer, scale: Scale, top: float) -> None:
    """Draw the lengths from center to center above the driveline."""
    line = top + 12.0
    places = [scale.at(p.place[0], p.place[2]) for p in _points(answer.spans)]
    for x, y in places:
        ink.line(x, line - 1.5, x, y - _BAR - 0.6, 0.15, HIDDEN_LINE, behind=True)
    for span, (a, b) in zip(answer.spans, pairwise(x for x, _ in places), strict=True):
        text, size = on_tape(span.length, answer.display.name), KEY
        if width_of(text, size, True) > b - a:  # short: smaller, in a row of its own above
            ink.line(a, line, b, line, 0.25, behind=True)
            ink.head(a, line, math.pi)
            ink.head(b, line, 0.0)
            _short(ink, (a + b) / 2, line - 8.2, text)
        else:
            ink.dimension_across(a, b, line, text, size)


def _short(ink: Drawing, x: float, y: float, text: str) -> None:
    """Set a length too short for its number in a row above the others, where there is room."""
    if ink.is_free(ink.box_of(x, y, text, 11, True, "center")):
        ink.text(x, y, text, 11, True, "center")


def _points(spans: Sequence[Span]) -> list[Point]:
    """Return the points between which lengths run."""
    return [spans[0].start, *(span.end for span in spans)]


def _obstacles(ink: Drawing, parts: Sequence[Obstacle], scale: Scale, room: Box) -> list[Box]:
    """Hatch the fixed parts that lie across; return where each was drawn."""
    drawn = []
    for part in parts:
        (x, low), (to_x, high) = (
            scale.at(pick(part.start[0], part.end[0]), pick(part.start[2], part.end[2]))
            for pick in (min, max)
        )
        left, right = max(x, room.left), min(max(to_x, x + _LEAST), room.right)
        box = Box(min(left, right), min(high, low - _LEAST), right, low)
        if left < right:
            ink.hatch(box)
        drawn.append(box)
    return drawn


def _letters(ink: Drawing, boxes: Sequence[Box]) -> None:
    """Set a letter by each part, where there is room."""
    em = 11 * POINT
    for letter, box in zip(_LETTERS, boxes, strict=False):
        middle = (box.left + box.right) / 2
        above, below, level = box.top - 1.0, box.bottom + em, (box.top + box.bottom + em) / 2
        sides = ((box.right + em, level), (box.left - em, level))
        for x, y in ((middle, above), (middle, below), *sides, (middle, above - em)):
            if ink.is_free(ink.box_of(x, y, letter, 11, True, "center")):
                ink.text(x, y, letter, 11, True, "center")
                break


def _shafts(ink: Drawing, c: Configuration, points: Sequence[Point], scale: Scale) -> None:
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
            ink.lines(tube, 0.45)
    centers = [scale.at(p.place[0], p.place[2]) for p in joints]
    ink.lines(centers, 0.15, CENTER_LINE, behind=True)
    for number, point in enumerate(joints, start=1):
        x, y = scale.at(point.place[0], point.place[2])
        ink.disc(x, y, _DISC, white=True)
        ink.text(x, y + 0.36 * READING * POINT, str(number), READING, True, "center")
    for point in bearings:
        x, y = scale.at(point.place[0], point.place[2])
        for side in (-1.1, 1.1):
            ink.line(x + side, y - _BAR, x + side, y + _BAR, 1.1, behind=True)


def _axle(ink: Drawing, c: Configuration, pinion: Point, scale: Scale) -> None:
    """Draw the pinion's axis up to the axle center."""
    x, y = scale.at(pinion.place[0], pinion.place[2])
    to_x, to_y = scale.at(c.axle[0], c.axle[2])
    way = math.atan2(to_y - y, to_x - x)
    if math.hypot(to_x - x, to_y - y) > 2 * _DISC:
        ink.line(x + _DISC * math.cos(way), y + _DISC * math.sin(way), to_x, to_y, 0.7)
    ink.disc(to_x, to_y, 1.0)


def _hooks(ink: Drawing, answer: Answer, scale: Scale, room: Box) -> None:
    """Draw where each bearing hangs from what a tape can hook on."""
    for hang in answer.hangs:
        if hang.hook is None:
            continue
        x, y = scale.at(hang.place[0], hang.place[2])
        face, edge = scale.at(hang.hook.aft, hang.hook.under)
        if not room.left < face < room.right:
            continue
        along, below = (on_tape(abs(far), answer.display.name) for far in (hang.along, hang.below))
        _along(ink, along, (x, y), (face, edge), room.bottom - 3.2)
        if len(answer.hangs) == 1:
            _below(ink, below, (x, y), (face, edge), room.bottom)


def _along(
    ink: Drawing, text: str, at: tuple[float, float], hook: tuple[float, float], row: float
) -> None:
    """Draw how far a bearing is ahead of or behind the hook, its number on the bearing's side."""
    (x, y), (face, edge) = at, hook
    base = row + 0.36 * KEY * POINT
    if x < face:
        room = ink.box_of(x - 1.2, base, text, KEY, True, "right")
    else:
        room = ink.box_of(x + 1.2, base, text, KEY, True)
    if not ink.is_free(room):
        return
    ink.line(face, edge, face, row + 1, 0.15, HIDDEN_LINE, behind=True)
    ink.line(x, y + _BAR, x, row + 1, 0.15, HIDDEN_LINE, behind=True)
    ink.dimension_across(x, face, row, text, KEY, beside="left" if x < face else "right")


def _below(
    ink: Drawing, text: str, at: tuple[float, float], hook: tuple[float, float], lowest: float
) -> None:
    """Draw how far a bearing is below or above the edge of the hook, where there is room."""
    (x, y), (face, edge) = at, hook
    place = face + (3.0 if face > x else -3.0)
    down = math.copysign(math.pi / 2, y - edge)
    for drop in (7.0, 10.0, 13.0, 16.0):
        base = max(y, edge) + drop
        room = ink.box_of(place + 1.5, base, text, KEY, True)
        if room.bottom <= lowest and ink.is_free(room):
            ink.line(x, y, place + math.copysign(1.0, place - x), y, 0.15, behind=True)
            ink.line(place, min(y, edge), place, base, 0.25, behind=True)
            ink.head(place, edge, -down)
            ink.head(place, y, down)
            ink.text(place + 1.5, base, text, KEY, True)
            return
