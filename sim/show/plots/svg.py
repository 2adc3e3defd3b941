"""Plots as SVG: small files whose text stays text, and as part of a page."""

from __future__ import annotations

import re
from html import escape

FALLBACK = "'DejaVu Sans', Verdana, sans-serif"
"""Faces of one width: where the first is missing, words keep their room."""

SPACES = " text{white-space: pre}"
"""Spaces before and between words are meant."""

TENTHS = 10.0
"""From where on a tenth of a point is enough [pt]: nobody sees less."""

_TAG = re.compile(r"<[^>]*>")
_LONG = re.compile(r"-?\d+\.\d{3,}")
_HEAD = re.compile(r"^.*?(?=<svg)", re.DOTALL)
_STRAIGHT = re.compile(r' d="[MLz\d .-]*"')  # a line goes on without a letter
_REFERENCE = re.compile(r'(?:href="#|url\(#)([^")]+)')
_ID = re.compile(r' id="([^"]*)"')


def tidied(svg: str) -> str:
    """Return an SVG file by matplotlib, smaller: tenths of a point, no names that nobody uses.

    Args:
        svg: The file, its text as text.
    """
    used = set(_REFERENCE.findall(svg))

    def tag(found: re.Match[str]) -> str:
        text = re.sub(r' transform="rotate\(-0 [^"]*\)"', "", found[0])
        text = _ID.sub(lambda own: own[0] if own[1] in used else "", text)
        text = _LONG.sub(lambda number: _short(float(number[0])), text)
        text = _STRAIGHT.sub(lambda path: path[0].replace(" L ", " "), re.sub(r"\s+", " ", text))
        return text.replace("'DejaVu Sans'", FALLBACK)

    plain = re.sub(r"<metadata>.*?</metadata>\s*", "", svg, flags=re.DOTALL)
    plain = plain.replace("</style>", f"{SPACES}</style>", 1)
    return re.sub(r">\s+<", "><", _TAG.sub(tag, plain))


def _short(number: float) -> str:
    """Return a place to a tenth of a point, what is small to a hundredth."""
    return f"{number:.{1 if abs(number) >= TENTHS else 2}f}".rstrip("0").rstrip(".")


def inlined(svg: str, name: str, about: str) -> str:
    """Return an SVG as part of a page, as wide as there is room.

    Args:
        svg: The file, from ``tidied``.
        name: That no other picture of the page has [letters and digits].
        about: What it shows, for who cannot see it.
    """
    drawing = _HEAD.sub("", svg)
    drawing = re.sub(r'(href="#|url\(#| id=")', rf"\g<1>{name}-", drawing)
    root = f'<svg role="img" aria-label="{escape(about)}" '
    return re.sub(r'^<svg (.*?)width="[^"]*" height="[^"]*" ', rf"{root}\1", drawing, count=1)
