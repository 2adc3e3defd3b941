"""How everything looks: palette, line styles, markers, fonts; for plots, film and report.

A light paper theme.  Nothing is told by color alone: configurations also differ in marker and in
lightness (they stay apart in grey), joints and torque cases in dashes, verdicts in sign and word.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sim.judge.findings import Verdict

PAPER = "#fbfaf6"
PANEL = "#f1efe8"
RULE = "#d6d2c6"
FAINT = "#8a867a"
QUIET = "#5c5a52"
INK = "#1d2126"
STEEL = "#7d8894"
LIMIT = "#9b1c2e"

FONT_FAMILY = ("DejaVu Sans",)
"""Ships with matplotlib and has ° µ ≤ ² −, so pictures are the same on every machine."""

CSS_FONTS = 'system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", "DejaVu Sans", sans-serif'
"""Fonts that are already on the reader's machine; the report fetches none."""

FONT_SIZE = 9.0
TITLE_SIZE = 11.0
LABEL_SIZE = 8.0


@dataclass(frozen=True, slots=True)
class Look:
    """How one configuration, joint or torque case is drawn: color, marker and dashes.

    Attributes:
        color: As "#rrggbb".
        marker: Name of the marker as matplotlib knows it.
        dashes: Lengths on and off, in line widths; empty for a full line.
    """

    color: str
    marker: str
    dashes: tuple[float, ...] = ()


CONFIGURATIONS = (
    Look("#12506b", "o"),
    Look("#d8692a", "s", (5.0, 1.6)),
    Look("#8a4f9e", "^", (1.4, 1.2)),
    Look("#a8962b", "D", (6.0, 1.4, 1.4, 1.4)),
    Look("#2f7f67", "v", (9.0, 2.0)),
    Look("#9a9288", "P", (3.0, 1.2, 1.0, 1.2, 1.0, 1.2)),
)

JOINTS = (
    Look("#2a4d9c", "o"),
    Look("#b3781a", "s", (5.0, 1.6)),
    Look("#3b7f55", "^", (1.4, 1.2)),
    Look("#93416b", "D", (6.0, 1.4, 1.4, 1.4)),
    Look("#6d7783", "v", (9.0, 2.0)),
)

CASES = (
    Look("#22272d", "o"),
    Look("#3f86b8", "s", (5.0, 1.6)),
    Look("#b0396e", "^", (1.4, 1.2)),
    Look("#6f8a2f", "D", (6.0, 1.4, 1.4, 1.4)),
    Look("#8d7a66", "v", (9.0, 2.0)),
    Look("#5a58a6", "P", (3.0, 1.2, 1.0, 1.2, 1.0, 1.2)),
)
"""Torque cases in the order of the scene, "no torque" first and full."""

VERDICT_COLORS: Mapping[Verdict, str] = {
    "passes": "#1f6f4a",
    "watch": "#8f5e00",
    "fails": "#a3152a",
    "cannot be told": "#3d4f8a",
}
VERDICT_GROUNDS: Mapping[Verdict, str] = {
    "passes": "#e7f1e9",
    "watch": "#fbf0d5",
    "fails": "#fae3e3",
    "cannot be told": "#e6e9f5",
}
VERDICT_SIGNS: Mapping[Verdict, str] = {
    "passes": "✓",
    "watch": "!",
    "fails": "✕",
    "cannot be told": "?",
}
VERDICT_WORDS: Mapping[Verdict, str] = {verdict: verdict for verdict in VERDICT_SIGNS}


def configuration_look(number: int) -> Look:
    """Return the look of a configuration by its place in the scene, from 0."""
    return CONFIGURATIONS[number % len(CONFIGURATIONS)]


def joint_look(number: int) -> Look:
    """Return the look of a joint by its place from the front, from 0."""
    return JOINTS[number % len(JOINTS)]


def case_look(number: int) -> Look:
    """Return the look of a torque case by its place in the scene, from 0."""
    return CASES[number % len(CASES)]


def plot_settings() -> dict[str, Any]:
    """Return the matplotlib settings under which every figure is drawn and saved."""
    return {
        "figure.facecolor": PAPER,
        "savefig.facecolor": PAPER,
        "axes.facecolor": "#ffffff",
        "axes.edgecolor": FAINT,
        "axes.linewidth": 0.8,
        "axes.labelcolor": INK,
        "axes.labelsize": FONT_SIZE,
        "axes.titlesize": FONT_SIZE,
        "axes.titleweight": "bold",
        "axes.titlelocation": "left",
        "axes.titlecolor": INK,
        "axes.grid": True,
        "axes.axisbelow": True,
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.unicode_minus": True,
        "grid.color": RULE,
        "grid.linewidth": 0.5,
        "lines.linewidth": 1.8,
        "lines.markersize": 5.0,
        "text.color": INK,
        "text.parse_math": False,  # a dollar sign in a title is a dollar sign
        "xtick.color": QUIET,
        "ytick.color": QUIET,
        "xtick.labelsize": LABEL_SIZE,
        "ytick.labelsize": LABEL_SIZE,
        "font.size": FONT_SIZE,
        "font.family": list(FONT_FAMILY),
        "legend.frameon": False,
        "legend.fontsize": LABEL_SIZE,
        "legend.handlelength": 3.2,
        "svg.fonttype": "none",
        "svg.hashsalt": "halfturn",
    }
