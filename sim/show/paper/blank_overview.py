"""The vehicle from its left side, with the letters of the measuring sheet where they are read."""

from __future__ import annotations

from collections.abc import Mapping

from sim.show.paper.blank_sketches import Pen, arc
from sim.show.paper.kit import BOLD, CENTER_LINE, THIN, Box, Sheet


def overview(sheet: Sheet, room: Box, kind: str, letters: Mapping[str, str]) -> None:
    """Draw the vehicle from its left side, with the letters of the strips where they are read.

    Args:
        sheet: Where.
        room: On the page.
        kind: Of the suspension.
        letters: Of the strips, by the names of their sketches.
    """
    p = Pen(sheet, room.left, room.top)
    _vehicle(p)
    if kind == "leaf":
        arc(p, (124, 19), (160, 19), 6)
        p.line(160, 19, 163, 14)
    elif kind == "links":
        p.line(118, 22, 141, 23, wide=BOLD)
        p.line(118, 34, 141, 34, wide=BOLD)
    for name, (x, y) in MARKS.items():
        if name in letters:
            sheet.disc(p.left + x, p.top + y, 2.7, white=True)
            sheet.text(p.left + x, p.top + y + 1.15, letters[name], 9, True, "center")
    sheet.text(p.left, p.top + 4, "front", 9)
    sheet.text(room.right, p.top + 4, "rear", 9, align="right")


def _vehicle(p: Pen) -> None:
    """Draw ground, wheels, frame, engine, driveline and axle."""
    p.ground(45, 0, 186)
    for x in (26.0, 142.0):
        p.round(x, 32, 12.5)
    p.line(8, 16, 180, 16, wide=BOLD)
    p.line(8, 12, 180, 12, wide=BOLD)
    p.box(22, 17, 44, 27)
    p.line(44, 19, 58, 21, 58, 25, 44, 27)
    p.line(60, 23, 92, 25.4, wide=1.0)
    p.line(98, 26, 128, 31, wide=1.0)
    p.round(92, 25.4, 2.6)
    p.line(90, 16, 90, 23.4)
    p.line(94, 16, 94, 23.4)
    p.joint(59.5, 23)
    p.joint(97.5, 25.9)
    p.joint(129.5, 31.4)
    p.round(142, 32, 5)
    p.line(132, 31.6, 137, 31.8, wide=1.0)
    p.box(66, 30, 86, 40)
    p.line(26, 4.5, 26, 28, wide=THIN, dash=CENTER_LINE)
    p.across(26, 48, 7, "aft")
    p.upright(172, 45, 28, "up")


MARKS = {
    "start": (26, 32),
    "plates": (33, 22),
    "tire": (150, 41),
    "frame": (54, 8.5),
    "output": (59.5, 30),
    "shaft": (74, 19.8),
    "bearing": (92, 33),
    "joint": (129.5, 38.5),
    "spline": (104, 21),
    "brace": (102, 8.5),
    "rails": (118, 8.5),
    "pinion": (121, 24),
    "axle": (142, 32),
    "spring front": (128, 13.9),
    "spring rear": (166, 20),
    "link lower": (112, 38),
    "link upper": (112, 21),
    "mount": (142, 21),
    "readings": (121, 38.5),
    "travel": (152, 20),
    "obstacle": (76, 35),
    "complaint": (14, 24),
}
