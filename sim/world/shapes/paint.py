"""Colors of the parts, from 0 to 1: steel grey for what is cast, dark and light paint for tubes.

Tubes that follow each other differ in lightness, so that they stay apart in grey print; none has
a color of its own, because colors tell configurations apart.
"""

from __future__ import annotations

from sim.world.shapes.mesh import Color

CAST: Color = (0.60, 0.63, 0.66)
BRIGHT: Color = (0.80, 0.81, 0.82)
SEAM: Color = (0.45, 0.46, 0.48)
HOUSING: Color = (0.68, 0.69, 0.68)
AXLE: Color = (0.44, 0.48, 0.52)
SPRING: Color = (0.31, 0.35, 0.39)
RUBBER: Color = (0.15, 0.15, 0.16)
TIRE: Color = (0.20, 0.205, 0.21)
RIM: Color = (0.74, 0.75, 0.76)
PLATED: Color = (0.83, 0.79, 0.66)
BRACE: Color = (0.60, 0.27, 0.20)
RAIL: Color = (0.36, 0.40, 0.45)

BLACK, BARE, PRIMER = (0.16, 0.17, 0.18), (0.90, 0.88, 0.82), (0.47, 0.46, 0.44)
TUBES: tuple[Color, ...] = (BLACK, BARE, PRIMER)
STRIPES: tuple[Color, ...] = ((0.98, 0.98, 0.96), (0.22, 0.23, 0.24), (0.98, 0.98, 0.96))
"""Index stripes, each plain to see on its tube."""

OBSTACLES: dict[str, Color] = {
    "fixed part": (0.33, 0.39, 0.47),
    "line": (0.05, 0.45, 0.25),
    "exhaust": (0.62, 0.33, 0.14),
    "floor": (0.60, 0.62, 0.62),
}


CLEAR, HALF_CLEAR = 0.40, 0.26
"""How much is seen of the faces of pipes and lines, and of tanks and other boxes [-]."""


def tube_color(number: int) -> Color:
    """Return the color of the tube of the shaft with that place from the front, from 0."""
    return TUBES[number % len(TUBES)]


def stripe_color(number: int) -> Color:
    """Return the color of the index stripe on that tube."""
    return STRIPES[number % len(STRIPES)]
