"""Advice carried out: every printed cure written into its scene, read, and judged again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scene_lines import with_lines

from sim.explore.cures_trials import cured
from sim.explore.judged import judged
from sim.judge.findings import Cure, Finding, Findings
from sim.judge.judge import rank
from sim.judge.rules import load_rules, rule_sets
from sim.scene.parts import Scene
from sim.scene.reader import read_scene

NAMES = ("fails", "cannot be told", "watch", "passes")


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedOut:
    """One cure of one finding, and what came of it.

    Attributes:
        configuration: Name of the configuration.
        before: The finding that asked for it.
        cure: What was printed.
        now: Its verdict once the lines were written into the scene.
        worse: What got worse, in words.
    """

    configuration: str
    before: Finding
    cure: Cure
    now: str
    worse: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Whether the finding does not fail in 95 % and nothing else is worse."""
        return self.now in ("passes", "watch", "silent") and not self.worse


def scene_of(text: str) -> Scene:
    """Return the scene of a text."""
    return read_scene(text.encode(), rule_sets=rule_sets())


def findings_of(text: str, name: str, *, cures: bool) -> Findings:
    """Return the findings on one configuration of a scene's text."""
    scene = scene_of(text)
    read = judged(scene.configuration(name), load_rules(scene.rules))
    return cured(read) if cures else read.findings


def asked(findings: Findings) -> list[Finding]:
    """Return the findings that fail, or may fail."""
    return [finding for finding in findings.findings if rank(finding)[0] < 2]


def carry_out(text: str, name: str, before: Findings) -> Iterator[CarriedOut]:
    """Yield every cure among findings, written into the scene's text and judged again."""
    known: dict[tuple[str, ...], Findings] = {}
    for finding in before.findings:
        for cure in (*finding.cures, *([finding.nearest] if finding.nearest else [])):
            if cure.changes not in known:
                changed = with_lines(text, name, cure.changes)
                known[cure.changes] = findings_of(changed, name, cures=False)
            after = {(f.rule, f.where): f for f in known[cure.changes].findings}
            now = after.get((finding.rule, finding.where))
            yield CarriedOut(
                configuration=name,
                before=finding,
                cure=cure,
                now=now.verdict if now else "silent",
                worse=tuple(_harm(cure, before, known[cure.changes])),
            )


def _harm(cure: Cure, before: Findings, after: Findings) -> Iterator[str]:
    """Yield what a change makes worse; of one that may leave more to watch what it does not say."""
    ranks = {(f.rule, f.where): rank(f)[0] for f in before.findings}
    chances = {(f.rule, f.where): f.probability or 0.0 for f in asked(before)}
    left = []
    for key, finding in {(f.rule, f.where): f for f in after.findings}.items():
        was = ranks.get(key, 3)
        if cure.leaves and was < 2 and rank(finding)[0] < 2:
            yield f"{finding.rule}, {finding.where}: is not cured"
        elif _worse(finding, was, chances.get(key, 0.0)):
            left.append(finding.what[:1].lower() + finding.what[1:])
            if not cure.leaves or rank(finding)[0] < 2:
                yield f"{finding.rule}, {finding.where}: {NAMES[was]} → {finding.verdict}"
    if cure.leaves and cure.leaves != ", ".join(dict.fromkeys(left)):
        yield f"leaves {left}, not {cure.leaves}"


def _worse(after: Finding, rank_before: int, chance: float) -> bool:
    """Say whether a finding got worse: in verdict, or if it is open in its chance to pass."""
    less = after.verdict == "cannot be told" and (after.probability or 0.0) < chance - 0.05
    return rank(after)[0] < rank_before or less
