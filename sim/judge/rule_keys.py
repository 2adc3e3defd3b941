"""The keys of a rule in a rule file, what each may hold, and what a shop may leave out."""

from __future__ import annotations

from dataclasses import fields
from typing import get_args

from sim.judge.findings import Relation, Standing
from sim.scene.parts import Limits

FORMAT = "halfturn rules 1"
OWN = "its own"
EVERY = "every state"
RELATIONS: dict[str, tuple[Relation, bool]] = {
    "at_most": ("at most", False),
    "at_least": ("at least", False),
    "below": ("at most", True),
    "above": ("at least", True),
}
SETTINGS = ("", *sorted({f.name for f in fields(Limits)} - {"set_by_shop"}))
TEXTS = {"good": 80, "bad": 80, "do": 110, "meaning": 240, "source": 240, "cause": 40}
WORDS = {"standing": get_args(Standing), "broken_in": ("any", "all"), "setting": SETTINGS}
STATES = ("fails_in", "watches_in", "shows_in")
KEYS = ("quantity", *RELATIONS, *STATES, *WORDS, "severity", *TEXTS)
SHOP = {  # what a rule of a shop's file is taken as, where it does not say
    "standing": "shop",
    "severity": "4",
    "meaning": "The shop asks for it.",
}
NEEDED = {
    "quantity": 'quantity = "pair differences"',
    "good": 'good = "The pair cancels"',
    "bad": 'bad = "The pair does not cancel"',
    "do": 'do = "Wedge the axle until both match."',
}
