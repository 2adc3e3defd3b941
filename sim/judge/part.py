"""A part's values in some states: what a rule is held against."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sim.measure.numbers import Numbers
from sim.motion.states import State

Array = NDArray[np.float64]
WhereKind = Literal[
    "joint", "pair", "shaft", "bearing", "spline", "pinion", "clearance", "driveline", "reading"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """A part of the driveline.

    Attributes:
        kind: What it is; a "pair" is a joint and the one behind it.
        number: Of the joint, shaft or bearing, from 1; of a pair's first joint; else 0.
        name: What tells it apart from its like: of a plunging joint its end ("inward"), of a
            clearance the moving part, of a reading its words.
        other: Of a clearance, what the part passes.
    """

    kind: WhereKind
    number: int = 0
    name: str = ""
    other: str = ""

    def __str__(self) -> str:
        """Words for people, as in "joint 2", "joints 2 and 3", "shaft 1 to exhaust pipe"."""
        match self.kind:
            case "pair":
                return f"joints {self.number} and {self.number + 1}"
            case "clearance":
                return f"{self.name} to {self.other}"
            case "reading":
                return f"reading {self.name}"
        words = f"{self.kind} {self.number}" if self.number else self.kind
        return f"{words}, {self.name}" if self.name else words


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """Values of one part, of B designs in L states.

    Attributes:
        where: The part.
        values: In the unit of the quantity, shape (B, L); NaN where a state cannot be reached.
        states: The L states, or none where no state changes it: then L is 1.
        limit: The part's own limit, broadcast with the values; None where the rule gives it.
        own: Whether that limit was written for this very part: then it may fail.
        assumed: Whether its size is assumed: then it only watches.
        group: What it shares its causes with, where that is more than the part: the joints of a
            pair stand together, and what the last pair does shakes the pinion.
        why: What brings the value about where no state does, as in "first gear, low range".
        told: Says what there is to say of the value in a state, by its number; of one design.
        remedy: What would change it, where the part knows better than the rule.
    """

    where: Where
    values: Array
    states: tuple[State, ...] = ()
    limit: Array | float | None = None
    own: bool = False
    assumed: bool = False
    group: str = ""
    why: str = ""
    told: Callable[[int], str] | None = None
    remedy: str = ""


def ride_height(states: tuple[State, ...]) -> list[int]:
    """Return the indices of the states at ride height without torque."""
    return [number for number, state in enumerate(states) if state.situation == "ride height"]


def in_states(numbers: Numbers, where: Where, values: Array) -> Part:
    """Return one part's values in all states, unknown where a design cannot reach them.

    Args:
        numbers: Gives the states.
        where: The part.
        values: In the unit of the quantity, shape (B, S).
    """
    known = np.where(numbers.lost, np.nan, values)
    return Part(where=where, values=known, states=numbers.states)


def without_state(where: Where, values: Array | float) -> Part:
    """Return what no state changes, (B,) or a number that all designs share."""
    return Part(where=where, values=np.atleast_1d(np.asarray(values, float))[:, None])
