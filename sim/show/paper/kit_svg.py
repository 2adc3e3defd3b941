"""A canvas that takes what the kit draws on paper as SVG, for pages of HTML."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from sim.show.paper.kit_text import FACES, POINT, width_of


@dataclass(slots=True)
class SvgPath:
    """An outline in points from the lower left corner of a page of some height [mm]."""

    height: float
    steps: list[str] = field(default_factory=list)

    def moveTo(self, x: float, y: float) -> None:
        """Start at a place."""
        self.steps.append(f"M{_place(x, y, self.height)}")

    def lineTo(self, x: float, y: float) -> None:
        """Go straight to a place."""
        self.steps.append(f"L{_place(x, y, self.height)}")

    def close(self) -> None:
        """Go back to the start."""
        self.steps.append("Z")

    def rect(self, x: float, y: float, width: float, height: float) -> None:
        """Go around a rectangle."""
        self.moveTo(x, y)
        self.lineTo(x + width, y)
        self.lineTo(x + width, y + height)
        self.lineTo(x, y + height)
        self.close()


class SvgCanvas:
    """Takes the calls that ``Ink`` makes of a PDF canvas; its methods are named as there."""

    def __init__(self, height: float) -> None:
        self.height = height
        self.parts: list[str] = []
        self._clips = 0
        self._open: list[int] = []
        self._pen, self._gray, self._font = ("", "0.35"), 0.0, (FACES[False], 10.0)
        self._at, self._turn = (0.0, 0.0), 0.0

    def saveState(self) -> None:
        """Remember what is clipped."""
        self._open.append(0)

    def restoreState(self) -> None:
        """Forget what was clipped, moved and turned since."""
        self.parts += ["</g>"] * self._open.pop()
        self._at, self._turn, self._gray = (0.0, 0.0), 0.0, 0.0

    def setFillGray(self, gray: float) -> None:
        """Take a gray to fill with, 0 black to 1 white."""
        self._gray = gray

    def setFont(self, face: str, size: float) -> None:
        """Take a face of a size [pt]."""
        self._font = (face, size)

    def setLineWidth(self, wide: float) -> None:
        """Take a pen of a width [pt]."""
        self._pen = (self._pen[0], f"{wide * POINT:.3g}")

    def setDash(self, lengths: Iterable[float]) -> None:
        """Take strokes and breaks [pt]."""
        self._pen = (" ".join(f"{length * POINT:.3g}" for length in lengths), self._pen[1])

    def setLineJoin(self, kind: int) -> None:
        """Round all corners; nothing else is asked for."""

    def translate(self, x: float, y: float) -> None:
        """Move the place where text starts."""
        self._at = (x, y)

    def rotate(self, degrees: float) -> None:
        """Turn text counterclockwise."""
        self._turn = degrees

    def beginPath(self) -> SvgPath:
        """Return an empty outline."""
        return SvgPath(self.height)

    def drawPath(self, path: SvgPath, stroke: int = 1, fill: int = 0) -> None:
        """Draw an outline, filled black or not at all."""
        color = "#000" if fill else "none"
        self.parts.append(f'<path d="{"".join(path.steps)}" fill="{color}"{self._stroke()}/>')

    def clipPath(self, path: SvgPath, stroke: int = 0) -> None:
        """Draw inside an outline only, until the state is restored."""
        self._clips += 1
        self._open[-1] += 1
        name = f"clip-{self._clips}"
        self.parts.append(
            f'<clipPath id="{name}"><path d="{"".join(path.steps)}"/></clipPath>'
            f'<g clip-path="url(#{name})">'
        )

    def line(self, x: float, y: float, to_x: float, to_y: float) -> None:
        """Draw a straight line."""
        ends = f"M{_place(x, y, self.height)}L{_place(to_x, to_y, self.height)}"
        self.parts.append(f'<path d="{ends}" fill="none"{self._stroke()}/>')

    def circle(self, x: float, y: float, radius: float, stroke: int = 1, fill: int = 0) -> None:
        """Draw a circle, filled or not."""
        color = ("#fff" if self._gray else "#000") if fill else "none"
        cx, cy = _place(x, y, self.height).split(" ")
        self.parts.append(
            f'<circle cx="{cx}" cy="{cy}" r="{radius * POINT:.3g}" fill="{color}"{self._stroke()}/>'
        )

    def drawString(self, x: float, y: float, text: str) -> None:
        """Set a line of text, as wide as it was measured."""
        face, size = self._font
        bold = face == FACES[True]
        here = _place(*self._at, self.height)
        turned = f" rotate({-self._turn:g})" if self._turn else ""
        weight = ' font-weight="700"' if bold else ""
        self.parts.append(
            f'<text transform="translate({here}){turned}" x="{x * POINT:.2f}" '
            f'font-size="{size * POINT:.3g}" textLength="{width_of(text, size, bold):.2f}" '
            f'lengthAdjust="spacingAndGlyphs"{weight}>{escape(text)}</text>'
        )

    def _stroke(self) -> str:
        """Return how a line is drawn."""
        dash, wide = self._pen
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        return f' stroke="#000" stroke-width="{wide}" stroke-linejoin="round"{dashed}'


def _place(x: float, y: float, height: float) -> str:
    """Return a place in points from the lower left corner as mm from the upper left."""
    return f"{x * POINT:.2f} {height - y * POINT:.2f}"
