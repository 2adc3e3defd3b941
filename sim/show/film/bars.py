"""Round bars seen from the side, straight or bent, shaded as bright paint is under a lamp above.

A driveline is a row of bodies of revolution, so that a picture of one bends as a formula says,
where a mesh could only be moved as it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index
from sim.show.film.paper import Pixels

Color = tuple[float, float, float]

AMBIENT, DIFFUSE, GLOSS = 0.46, 0.62, 0.22
LAMP = (0.74, 0.67)  # toward it: up, and out of the picture
RIM = 0.45  # how dark the outline is
FINE = 4  # places a pixel at which bend and radius are looked up
STRIPE = 0.22  # half the width of the index stripe, as an angle around the bar [rad]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bar:
    """A body of revolution about a line that may bend.  P places along it.

    Attributes:
        start, end: Ends of its line when straight: column and row [pixels].
        share: Places as shares of the length, growing, shape (P,).
        radius: There [pixels], shape (P,).
        bend: How far the line is bent there, upward across it [pixels], shape (P,).
        between: Shares between which it is there at all.
    """

    start: Array
    end: Array
    share: Array
    radius: Array
    bend: Array
    between: tuple[float, float] = (0.0, 1.0)


def paint_bar(
    picture: Pixels, bar: Bar, color: Color, stripe: tuple[float, Color] | None = None
) -> None:
    """Paint a bar over a picture.

    Args:
        picture: Red, green, blue of every pixel, written to, shape (h, w, 3).
        bar: Which.
        color: From 0 to 1.
        stripe: Angle of a stripe along it, 0 toward the viewer and π/2 up [rad], and its color.
    """
    pixels, across, cover = _covered(picture, bar)
    front = np.sqrt(1 - across**2)
    light = np.maximum(LAMP[0] * across + LAMP[1] * front, 0.0)
    base = np.array(color)
    if stripe is not None:
        angle = (np.arcsin(across) - stripe[0] + np.pi) % (2 * np.pi) - np.pi
        there = np.clip((STRIPE - np.abs(angle)) * 12 + 0.5, 0.0, 1.0)
        base = base + there[:, None] * (np.array(stripe[1]) - base)
    shade = (AMBIENT + DIFFUSE * light) * (1 - RIM * across**12)
    lit = base * shade[:, None] + (GLOSS * light**24)[:, None]
    _lay(picture, pixels, np.minimum(lit, 1.0), cover)


def paint_veil(picture: Pixels, bar: Bar, color: Color, share: float) -> None:
    """Paint the outline of a bar over a picture, filled evenly and as plain as ``share`` [-]."""
    pixels, _, cover = _covered(picture, bar)
    _lay(picture, pixels, np.array(color), cover * share)


def _lay(picture: Pixels, pixels: tuple[Index, Index], paint: Array, cover: Array) -> None:
    """Lay paint (from 0 to 1) over pixels of a picture, as far as each is covered."""
    under = picture[pixels].astype(float)
    under += cover[:, None] * (255 * paint - under)
    picture[pixels] = np.rint(under)


def _covered(picture: Pixels, bar: Bar) -> tuple[tuple[Index, Index], Array, Array]:
    """Return the pixels that a bar covers: their rows and columns, each (Q,).

    And how far each is from the bar's middle, upward, in radii from −1 to 1, (Q,); and how much of
    it is covered, (Q,).
    """
    length = float(np.hypot(*(bar.end - bar.start)))
    right, down = (bar.end - bar.start) / length
    reach = float(np.max(bar.radius + np.abs(bar.bend))) + 2
    ends = bar.start + np.outer(bar.between, bar.end - bar.start)
    left, top = np.maximum(np.floor(ends.min(axis=0) - reach).astype(int), 0)
    wide, tall = np.ceil(ends.max(axis=0) + reach).astype(int)
    x = np.arange(left, min(wide, picture.shape[1])) + 0.5 - bar.start[0]
    y = (np.arange(top, min(tall, picture.shape[0])) + 0.5 - bar.start[1])[:, None]
    along, off = x * right + y * down, x * down - y * right
    bend, radius, lean = _looked_up(bar, length, along)
    off = (off - bend) * lean
    cover = np.clip(radius - np.abs(off) + 0.5, 0.0, 1.0)
    cover *= np.clip(along - bar.between[0] * length + 0.5, 0.0, 1.0)
    cover *= np.clip(bar.between[1] * length - along + 0.5, 0.0, 1.0)
    rows, columns = np.nonzero(cover)
    across = off[rows, columns] / np.maximum(radius[rows, columns], 1e-6)
    return (rows + top, columns + left), np.clip(across, -1.0, 1.0), cover[rows, columns]


def _looked_up(bar: Bar, length: float, along: Array) -> tuple[Array, Array, Array]:
    """Return bend and radius [pixels] and the cosine of the bend's slope at places [pixels]."""
    fine = np.arange(int(length * FINE) + 2) / FINE
    bend = np.interp(fine, bar.share * length, bar.bend)
    radius = np.interp(fine, bar.share * length, bar.radius)
    lean = 1 / np.hypot(1.0, np.gradient(bend, 1 / FINE))
    at = np.clip((along * FINE + 0.5).astype(int), 0, len(fine) - 1)
    return bend[at], radius[at], lean[at]
