"""Colors of the parts, from 0 to 1: steel grey for what is cast, one strong color for each tube.

Tubes that follow each other differ in lightness too, so that they stay apart in grey print.
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
STRIPE: Color = (0.98, 0.98, 0.96)
RAIL: Color = (0.36, 0.40, 0.45)

TUBES: tuple[Color, ...] = ((0.08, 0.36, 0.47), (0.86, 0.53, 0.15), (0.42, 0.20, 0.42))
OBSTACLES: dict[str, Color] = {
    "fixed part": (0.45, 0.47, 0.50),
    "line": (0.20, 0.45, 0.35),
    "exhaust": (0.62, 0.50, 0.40),
    "floor": (0.60, 0.62, 0.62),
}


def tube_color(number: int) -> Color:
    """Return the color of the tube of the shaft with that place from the front, from 0."""
    return TUBES[number % len(TUBES)]
