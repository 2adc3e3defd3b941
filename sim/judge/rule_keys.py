"""The keys of a rule in a rule file, what each may hold, and what a shop may leave out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, get_args

from sim.judge.findings import Relation, Standing
from sim.judge.quantities import KINDS_OF_UNITS, QUANTITIES, Quantity
from sim.judge.rule import Rule
from sim.scene.keys import QuantityKey
from sim.scene.tables.limits import LimitsKeys
from sim.scene.words import quote
from sim.units import Kind, spell

FORMAT = "halfturn rules 1"
OWN = "its own"
EVERY = "every state"
RELATIONS: dict[str, tuple[Relation, bool]] = {
    "at_most": ("at most", False),
    "at_least": ("at least", False),
    "below": ("at most", True),
    "above": ("at least", True),
}
SETTINGS: dict[str, Kind] = {
    word: key.limits.kind
    for word, key in LimitsKeys.declared().items()
    if isinstance(key, QuantityKey)
}
TEXTS = {"good": 80, "bad": 80, "do": 110, "meaning": 240, "source": 240, "cause": 40}
WORDS = {
    "standing": get_args(Standing),
    "broken_in": ("any", "all"),
    "setting": ("", *sorted(SETTINGS)),
}
STATES = ("fails_in", "watches_in", "shows_in")
KEYS = ("quantity", *RELATIONS, *STATES, *WORDS, "severity", *TEXTS)
SHOP = {  # what a rule of a shop's file is taken as, where it does not say
    "standing": "shop",
    "severity": "4",
    "meaning": "The shop asks for it.",
}
NEEDED = {
    "quantity": 'quantity = "pair differences"',
    "good": 'good = "Paired angles match"',
    "bad": 'bad = "Paired angles differ"',
    "do": 'do = "Wedge the axle until both match."',
}


def misfit(
    values: Mapping[str, Any], quantity: Quantity, base: Rule | None
) -> Iterator[tuple[str, str]]:
    """Yield the keys of a rule that do not suit its quantity, and why.

    Args:
        values: Of the rule, by key.
        quantity: That it looks at.
        base: The rule that it takes over from, or None.
    """
    if base is not None and quantity is not QUANTITIES[base.quantity]:
        yield "quantity", f"that rule looks at {quote(base.quantity)}: name yours otherwise"
        return
    kind, of_setting = KINDS_OF_UNITS[quantity.unit], SETTINGS.get(values["setting"])
    if of_setting not in (None, kind) and not quantity.own_limit:
        its, own = spell(of_setting.metric), spell(kind.metric)
        yield "setting", f"that limit is in {its}, this quantity in {own}"
