"""What passes close: a table of every obstacle with the parts that come near it."""

from __future__ import annotations

from collections.abc import Iterator

from sim.display import Display, to_si
from sim.judge.clearance_quantities import state_of
from sim.judge.findings import Findings
from sim.measure.clearance.result import GROUND, Clearance
from sim.measure.measurements import Measurements
from sim.show.place_words import place_of
from sim.show.report.pages import Table
from sim.show.style import VERDICT_WORDS

NEAR = 0.060
"""Parts beside the nearest one are shown up to this distance [m]."""

_RULES = ("contact", "clearance", "ground")
_AT_REST = "clearance at rest"
_ORDER = ("fails", "cannot be told", "watch", "passes")


def clearance_tables(m: Measurements, findings: Findings, display: Display) -> tuple[Table, ...]:
    """Return the table of what passes close; nothing where there is nothing to pass.

    Args:
        m: What was measured.
        findings: The verdicts.
        display: Units shown.
    """
    unit = display.length
    rows = tuple(_row(m, findings, display, near) for near in _near(m, findings))
    if not rows:
        return ()
    return (
        Table(
            "What passes close",
            (
                "obstacle",
                "part",
                f"least clearance [{unit.name}]",
                f"wanted [{unit.name}]",
                "verdict",
                "state",
                f"at rest [{unit.name}]",
                f"place [{unit.name}]",
            ),
            rows,
            f"No posture on the way, in any torque case or roll, comes nearer by more than "
            f"{_within(m, findings, display)}. A turning part counts as what it sweeps in a full "
            "turn, with round ends: beyond a flat end there is a little more room. “Size "
            "assumed”: the scene does not give it, and such a part is at most to watch. How far "
            "an obstacle moves is taken off. Place: of the obstacle, from the datum.",
        ),
    )


def _near(m: Measurements, findings: Findings) -> Iterator[Clearance]:
    """Yield the nearest part to every obstacle, the ground last, and others near and judged."""
    judged = {f.where for f in findings.findings}
    for name in [*(obstacle.name for obstacle in m.configuration.obstacles), GROUND]:
        worst: dict[str, Clearance] = {}
        for near in (c for c in m.numbers.near if c.obstacle == name):
            known = worst.get(near.part)
            if known is None or near.distance < known.distance:
                worst[near.part] = near
        ranked = sorted(worst.values(), key=lambda near: near.distance)
        for place, near in enumerate(ranked):
            also = near.distance < NEAR and f"{near.part} to {name}" in judged
            if place == 0 or also:
                yield near


def _row(m: Measurements, findings: Findings, display: Display, near: Clearance) -> tuple[str, ...]:
    """Return one obstacle and part as a row."""
    where = f"{near.part} to {near.obstacle}"
    said = [f for f in findings.findings if f.where == where and f.rule.startswith(_RULES)]
    verdict = min((f.verdict for f in said), key=_ORDER.index, default=None)
    limits = [f.limit for f in said if f.limit is not None and f.rule != _AT_REST]
    wanted = max(limits, default=None)
    unit = display.length
    return (
        near.obstacle,
        near.part if near.size_known else f"{near.part} (size assumed)",
        unit.number(near.distance),
        "–" if wanted is None else unit.number(to_si(wanted, "mm")),
        "–" if verdict is None else VERDICT_WORDS[verdict],
        state_of(m.states, near).say(display.name),
        unit.number(near.at_rest),
        place_of(near, display, bare=True),
    )


def _within(m: Measurements, findings: Findings, display: Display) -> str:
    """Return the largest doubt about any clearance shown, in words."""
    return display.fine.say(max(near.certified_within for near in _near(m, findings)))
