"""Rules as data: read from ``rule_sets.toml``, each with its source and its standing."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, get_args

from sim.errors import DomainError
from sim.judge.findings import Standing, Verdict

Place = Literal["at rest", "running", "every state", "vehicle"]
Relation = Literal["at most", "at least"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One limit on one quantity.

    Attributes:
        id: Identifier, as in "front joint"; one id may differ from set to set.
        sets: Names of the rule sets that it is in.
        quantity: Name of a function of ``quantities``.
        relation: How the value must stand to the limit.
        limit: In the unit below; None where the vehicle's own data give it.
        unit: Unit of value and limit.
        where: The states in which it applies.
        standing, source: What the limit is worth and where it is written.
        severity: Rank among findings of the same verdict, 1 to 10.
        good, bad: Headline when it is kept and when it is not.
        meaning, remedy: One sentence each.
        setting: Key with which the shop writes its own limit; "" without one.
        worst: The worst verdict that the published limit can give.
        unless: A stricter rule; where it fails on the same part, this one stays silent.
        strict: Whether the limit itself already breaks the rule.
    """

    id: str
    sets: tuple[str, ...]
    quantity: str
    relation: Relation
    unit: str
    where: Place
    standing: Standing
    source: str
    severity: int
    good: str
    bad: str
    meaning: str
    remedy: str
    limit: float | None = None
    setting: str = ""
    worst: Verdict = "fails"
    unless: str = ""
    strict: bool = False

    def __post_init__(self) -> None:
        allowed = {
            "relation": get_args(Relation),
            "where": get_args(Place),
            "standing": get_args(Standing),
            "worst": ("watch", "fails"),
        }
        for key, words in allowed.items():
            word = getattr(self, key)
            if word not in words:
                raise DomainError(f'rule "{self.id}": {key} "{word}" is not of {", ".join(words)}')


def rule_sets() -> tuple[str, ...]:
    """Return the names of all rule sets."""
    return _read()[0]


def rules_of(rule_set: str) -> tuple[Rule, ...]:
    """Return the rules of one set, in the order of the file.

    Args:
        rule_set: Its name, as in "two-piece service".

    Returns:
        The rules.

    Raises:
        DomainError: If there is no such set; the message lists the names there are.
    """
    names, rules = _read()
    if rule_set not in names:
        raise DomainError(f'no rule set "{rule_set}"; there are: {", ".join(names)}')
    return tuple(rule for rule in rules if rule_set in rule.sets)


@cache
def _read() -> tuple[tuple[str, ...], tuple[Rule, ...]]:
    """Return the names of the sets and all rules, checked."""
    text = files("sim.judge").joinpath("rule_sets.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    names = tuple(data["sets"])
    return names, tuple(
        Rule(**{**entry, "sets": tuple(entry.get("sets", names))}) for entry in data["rule"]
    )
