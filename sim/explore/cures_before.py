"""What was found before a change, and what the change may not do to it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sim.judge.findings import Finding, Findings
from sim.judge.judge import rank

Key = tuple[str, str]  # rule and part

FARTHER = 0.02  # of its limit, or of how far it is beyond it, that what fails may go farther
LOST = 0.03  # of the chance to pass that what is open may lose; twice that in a few samples
TOLD, WATCH, PASSES = 1, 2, 3  # ranks: what cannot be told, what is worth watching, what passes


def asking(findings: Findings) -> list[Finding]:
    """Return the findings that ask for a cure: none while readings contradict one another.

    Args:
        findings: As weighed.
    """
    asked = [finding for finding in findings.findings if rank(finding)[0] <= TOLD]
    return [] if any(finding.cause == "contradiction" for finding in asked) else asked


def key_of(finding: Finding) -> Key:
    """Return rule and part of a finding, which tell it apart."""
    return finding.rule, finding.where


def _beyond(finding: Finding) -> float:
    """Return how far a value is beyond its limit, in its unit; 0 within it."""
    limit = finding.limit or 0.0
    over = finding.value - limit if finding.relation == "at most" else limit - finding.value
    return max(over, 0.0)


class Before:
    """How findings stand without a change."""

    def __init__(self, findings: Findings) -> None:
        """Take findings, as weighed."""
        asked = asking(findings)
        self.rank = {key_of(f): rank(f)[0] for f in findings.findings}
        self.beyond = {key_of(f): _beyond(f) for f in asked}
        self.chance = {key_of(f): f.probability or 0.0 for f in asked}

    def ranks(self, keys: Sequence[Key]) -> NDArray[np.int64]:
        """Return how findings stand, (F,)."""
        return np.array([self.rank.get(key, PASSES) for key in keys])

    def cured_by(self, after: Findings, targets: Sequence[Key]) -> bool:
        """Say whether a change cures all targets, and harms nothing that failed or was open.

        Args:
            after: The findings once it was carried out.
            targets: What it is for: cured where at least 95 % of the samples keep the limit in
                every state in which it may fail.
        """
        found = {key_of(f): f for f in after.findings}
        if any(found[t].verdict not in ("passes", "watch") for t in targets if t in found):
            return False
        left = [key for key in self.beyond if key not in targets and key in found]
        return not any(self._lost(key, found[key]) for key in left)

    def worse(self, after: Findings) -> list[Finding]:
        """Return the findings whose verdict a change made worse; a new one should pass.

        Args:
            after: The findings once it was carried out.
        """
        return [f for f in after.findings if rank(f)[0] < self.rank.get(key_of(f), PASSES)]

    def harmed(self, after: Findings) -> list[Finding]:
        """Return the findings that a change made worse, or left open and brought farther off.

        Args:
            after: The findings once it was carried out.
        """
        found = {key_of(f): f for f in after.findings}
        left = [found[k] for k in self.beyond if k in found and rank(found[k])[0] <= self.rank[k]]
        lost = [f for f in left if self._lost(key_of(f), f)]
        return sorted({key_of(f): f for f in [*self.worse(after), *lost]}.values(), key=rank)

    def _lost(self, key: Key, after: Finding) -> bool:
        """Say whether what is not cured got farther beyond its limit, or less likely to pass."""
        was = self.beyond[key]
        farther = _beyond(after) > was + FARTHER * max(abs(after.limit or 0.0), was)
        still_open = after.verdict == "cannot be told"
        return farther or (still_open and (after.probability or 0.0) < self.chance[key] - LOST)
