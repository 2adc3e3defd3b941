"""Findings: what a rule says about a measurement, in plain words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["passes", "watch", "fails"]
Standing = Literal["published", "common practice", "from memory", "shop", "physical"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One verdict.

    Attributes:
        rule: Identifier of the rule, as in "front joint".
        verdict: "passes", "watch" or "fails".
        what: Headline in plain words, as in "The spline bottoms".
        where: The part, as in "joint 2" or "spline".
        state: Label of the state that causes it; "" where no state does.
        value, limit: In the unit below; limit None where there is none.
        unit: Unit of both for machines ("deg", "mm", "rad/s²", "km/h", "%",
            "rpm·deg").
        relation: How the value must stand to the limit: "at most" or "at least".
        source: The published source, or "common practice, no source", "from memory: …", "shop".
        standing: What the source is worth; "physical" where the parts themselves contradict.
        meaning: What it means for the vehicle, one sentence.
        remedy: What would change it, one sentence.
        severity: Rank among findings of the same verdict; larger is worse.
    """

    rule: str
    verdict: Verdict
    what: str
    where: str
    state: str
    value: float
    limit: float | None
    unit: str
    relation: Literal["at most", "at least"]
    source: str
    standing: Standing
    meaning: str
    remedy: str
    severity: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """All verdicts on one configuration under one rule set.

    Attributes:
        configuration: Its name.
        rule_set: Name of the rule set.
        findings: Worst first.
        other_sets: One line on what each other rule set would say.
    """

    configuration: str
    rule_set: str
    findings: tuple[Finding, ...]
    other_sets: tuple[str, ...]

    @property
    def fails(self) -> bool:
        """Whether any finding fails."""
        return any(finding.verdict == "fails" for finding in self.findings)
