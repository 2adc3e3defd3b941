"""Picture of what each reading by itself does to the verdicts that cannot be told."""

from __future__ import annotations

from pathlib import Path

from matplotlib.axes import Axes

from sim.display import READERS, Display, amount, to_si
from sim.judge.findings import Finding, Findings, Tornado
from sim.judge.sure_words import chance_words
from sim.show.plots.canvas import LABEL_GROUND, drawing, room_beside, save
from sim.show.style import INK, LABEL_SIZE, LIMIT, QUIET, VERDICT_COLORS

WIDTH = 8.4  # [in]
BAR = 0.25  # [in]
NAMES = 1.3  # rows below the bars, for the names of the uprights
CLOSE = 0.1  # share of a panel's width
AROUND = 0.85  # [in] above and below the bars of a panel
TONE = {"measured": "#7d8dc2", "assumed": "#ccd3ea"}
EDGE = VERDICT_COLORS["cannot be told"]


def draw_sureness(
    findings: Findings, display: Display, about: str, folder: Path
) -> tuple[Path, ...]:
    """Draw a panel for each of the most urgent findings that readings could turn.

    Args:
        findings: Weighed verdicts.
        display: Units shown.
        about: Subtitle: which vehicle and configuration.
        folder: Where the pictures belong.

    Returns:
        The SVG and the PNG; nothing where every verdict can be told.
    """
    tornadoes = findings.sureness.tornadoes if findings.sureness else ()
    if not tornadoes:
        return ()
    by_key = {(f.rule, f.where): f for f in findings.findings}
    sizes = [(len(tornado.swings) + NAMES) * BAR for tornado in tornadoes]
    height = 0.8 + sum(sizes) + AROUND * len(sizes)
    note = (
        f"{about}\neach bar: one reading from the low to the high end of its band, all others as "
        "read; pale and hatched: assumed, not measured"
    )
    with drawing(WIDTH, height, "How sure: what each reading could turn", note) as (figure, top):
        labels = [_label(s.reading, s.text) for t in tornadoes for s in t.swings]
        left = min(room_beside(labels, WIDTH), 0.5)
        bottom = top - 0.38 / height
        for tornado, size in zip(tornadoes, sizes, strict=True):
            axes = figure.add_axes((left, bottom - size / height, 0.97 - left, size / height))
            _panel(axes, tornado, by_key[tornado.rule, tornado.where], display)
            bottom -= (size + AROUND) / height
        return save(figure, folder, "how-sure")


def _panel(axes: Axes, tornado: Tornado, finding: Finding, display: Display) -> None:
    """Draw the bars of one finding, its value as read, and its limit."""
    unit, size = _unit(finding.unit, display)
    assert finding.limit is not None
    for row, swing in enumerate(tornado.swings):
        ends = (swing.low / size, swing.high / size, finding.value / size)
        low, high = min(ends), max(ends)
        assumed = swing.status != "measured"
        axes.barh(
            row, high - low, left=low, height=0.66,
            color=TONE["assumed" if assumed else "measured"],
            edgecolor=EDGE,
            hatch="////" if assumed else None, linewidth=0.6, zorder=2,
        )  # fmt: skip
    reach = [end / size for s in tornado.swings for end in (s.low, s.high)]
    reach += [finding.limit / size, finding.value / size]
    pad = 0.12 * (max(reach) - min(reach) or 1.0)
    axes.set_xlim(min(reach) - pad, max(reach) + pad)
    axes.axvline(finding.value / size, color=INK, linewidth=1.2, zorder=3)
    axes.axvline(finding.limit / size, color=LIMIT, linewidth=1.4, linestyle=(0, (6, 2)), zorder=3)
    axes.set_yticks(range(len(tornado.swings)), [_label(s.reading, s.text) for s in tornado.swings])
    axes.set_ylim(len(tornado.swings) - 0.5, -0.5)
    axes.tick_params(axis="y", length=0, labelsize=LABEL_SIZE, labelcolor=INK)
    axes.grid(visible=False, axis="y")
    axes.set_xlabel(f"{finding.rule}, {finding.where} [{unit}]", fontsize=LABEL_SIZE)
    _name_lines(axes, finding, size, display)
    axes.set_title(
        f"{finding.rule}, {finding.where}: {chance_words(finding)}",
        fontsize=LABEL_SIZE + 0.5,
        pad=5,
    )
    axes.spines["left"].set_color(QUIET)


def _name_lines(axes: Axes, finding: Finding, size: float, display: Display) -> None:
    """Write below the bars what the two uprights are, toward the middle or away from each other."""
    assert finding.limit is not None
    bottom, left, right = axes.get_ylim()[0], *axes.get_xlim()
    axes.set_ylim(bottom + NAMES, -0.5)
    close = abs(finding.limit - finding.value) / size < CLOSE * (right - left)
    limit = f"limit: {finding.relation} {amount(finding.limit, finding.unit, display.name)}"
    read = f"as read: {amount(finding.value, finding.unit, display.name, beside=finding.limit)}"
    for value, text, color, row in (
        (finding.value / size, read, INK, 0.35),
        (finding.limit / size, limit, LIMIT, 0.95),
    ):
        inward = value > (left + right) / 2
        if close:  # away from the other one
            inward = value == min(finding.value, finding.limit) / size
        axes.annotate(
            text,
            xy=(value, bottom + row),
            xytext=(-4 if inward else 4, 0),
            textcoords="offset points",
            ha="right" if inward else "left",
            va="center",
            size=LABEL_SIZE - 1,
            color=color,
            bbox=LABEL_GROUND,
            zorder=4,
        )


def _label(reading: str, text: str) -> str:
    """Return the words beside a bar."""
    return f"{reading}  {text}"


def _unit(unit: str, display: Display) -> tuple[str, float]:
    """Return the unit shown for a unit of findings, and its size in that."""
    shown = READERS[display.name][unit]
    return shown.name, shown.size / to_si(1.0, unit)
