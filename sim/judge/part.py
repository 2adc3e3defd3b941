"""A part's values in some states: what a rule is held against."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.measure.measurements import Measurements
from sim.motion.states import State

Array = NDArray[np.float64]
States = NDArray[np.int64]  # indices of the states in which a rule applies


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """Values of one part in some states.

    Attributes:
        where: The part, as in "joint 2".
        values: In the unit of the rule, shape (L,).
        states: The state of each value; None where no state causes it.
        at_speed: Whether the value depends on the road speed of its state.
        limit: The part's own limit, or None where the rule gives it.
        own: Whether that limit was written for this very part: then it may fail.
        remedy: What would change it, where the part knows better than the rule.
    """

    where: str
    values: Array
    states: tuple[State | None, ...]
    at_speed: bool = False
    limit: float | None = None
    own: bool = False
    remedy: str = ""


def ride_height(m: Measurements) -> States:
    """Return the state at ride height without torque and roll, where trade rules are read."""
    rest = m.configuration.torque_cases[0].name
    return np.flatnonzero(
        [s.height == "ride height" and s.case == rest and not s.roll for s in m.states]
    )


def other_heights(m: Measurements) -> States:
    """Return the states without torque at the scene's own named heights, as in "loaded"."""
    travel, rest = m.configuration.travel, m.configuration.torque_cases[0].name
    named = {height.name for height in (travel.heights if travel else ()) if height.turning}
    return np.flatnonzero([s.height in named and s.case == rest for s in m.states])


def some_states(m: Measurements, chosen: States) -> tuple[State, ...]:
    """Return some of the states."""
    return tuple(m.states[index] for index in chosen)


def values_of(where: str, m: Measurements, chosen: States, values: Array) -> Part:
    """Return one part's values in the chosen states."""
    return Part(where=where, values=values[chosen], states=some_states(m, chosen))


def values_at_speed(where: str, m: Measurements, chosen: States, values: Array) -> Part:
    """Return one part's values in the chosen states, each named with its road speed."""
    return replace(values_of(where, m, chosen, values), at_speed=True)


def without_state(where: str, value: float) -> Part:
    """Return a value that no state changes."""
    return Part(where=where, values=np.array([value]), states=(None,))
