"""A rule: a limit on a quantity, where it may fail, its source and what that is worth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.errors import DomainError
from sim.judge.findings import Relation, Standing
from sim.motion.states import SITUATIONS

MAY_FAIL: tuple[Standing, ...] = ("published", "shop", "physical")
VEHICLE = "vehicle"  # the place of what no state changes
PLACES = (*SITUATIONS, VEHICLE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One limit on one quantity.

    Attributes:
        id: Identifier, as in "front joint, most".
        quantity: Name of a quantity.
        relation: How the value must stand to the limit.
        strict: Whether the limit itself already breaks the rule.
        limit: In the unit of the quantity; None where part or vehicle bring their own.
        fails_in: Situations in which it may fail, if its standing allows; ("vehicle",) for what no
            state changes.
        watches_in: Situations in which it may only watch.
        shows_in: Situations whose worst value is shown beside.
        broken_in: Whether "any" of the states of ``fails_in`` makes it fail, or only "all".
        setting: Key with which a scene writes its own limit; "" without one.
        standing, source: What the limit is worth and where it is written.
        cause: Findings of one cause on one part stand under the gravest of them.
        severity: Rank among findings of the same verdict, 1 to 10.
        good, bad: Headline when it is kept and when it is not.
        meaning: Why it matters, one sentence.
        remedy: What to do, one sentence.
    """

    id: str
    quantity: str
    relation: Relation
    strict: bool
    limit: float | None
    fails_in: tuple[str, ...]
    watches_in: tuple[str, ...]
    shows_in: tuple[str, ...]
    broken_in: Literal["any", "all"]
    setting: str
    standing: Standing
    source: str
    cause: str
    severity: int
    good: str
    bad: str
    meaning: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleSet:
    """One coherent practice.

    Attributes:
        name: As a scene names it, as in "two-piece service" or "shop.toml: our shop".
        scope: What it is for.
        rules: In the order of the file.
    """

    name: str
    scope: str
    rules: tuple[Rule, ...]

    def rule(self, id: str) -> Rule:
        """Return the rule of that identifier.

        Raises:
            DomainError: If there is none; the message lists the rules there are.
        """
        for rule in self.rules:
            if rule.id == id:
                return rule
        known = ", ".join(rule.id for rule in self.rules)
        raise DomainError(f'no rule "{id}" in "{self.name}"; there are: {known}')
