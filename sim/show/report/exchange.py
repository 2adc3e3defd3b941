"""What the second configuration of a comparison buys and what it costs, from measurements."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sim.measure.measurements import Measurements
from sim.show.display import DEGREES, PERCENT, Display, Unit
from sim.show.plots.series import hardest_case
from sim.show.report.pages import Exchange


@dataclass(frozen=True, slots=True)
class _Change:
    """One number of both configurations: SI values, unit, and whether more of it is better."""

    name: str
    values: tuple[float, float]
    unit: Unit
    more_is_better: bool
    note: str = ""

    @property
    def gain(self) -> float:
        """How much better it becomes, in steps that a reader sees."""
        before, after = self.values
        steps = float(round((after - before) / self.unit.size * 10**self.unit.digits))
        return steps if self.more_is_better else -steps

    def say(self) -> str:
        """Return it in words, as in "whirl limit 122 → 296 km/h"."""
        note = f" ({self.note})" if self.note else ""
        before, after = self.values
        return f"{self.name} {self.unit.number(before)} → {self.unit.say(after)}{note}"


def exchange_of(first: Measurements, second: Measurements, display: Display) -> Exchange:
    """Return what the second configuration buys over the first, and what it costs.

    Args:
        first: The configuration that there is.
        second: The one that is looked at instead.
        display: Units shown.
    """
    changes = list(_changes(first, second, display))
    more = len(second.configuration.shafts) - len(first.configuration.shafts)
    parts = (f"{_count(abs(more), 'joint')} and {_count(abs(more), 'center bearing')}",)
    return Exchange(
        first.configuration.name,
        second.configuration.name,
        tuple(c.say() for c in changes if c.gain > 0) + (f"{parts[0]} less",) * (more < 0),
        tuple(c.say() for c in changes if c.gain < 0) + (f"{parts[0]} more",) * (more > 0),
    )


def whirl_limit(m: Measurements) -> float:
    """Return the lowest road speed at which a shaft reaches the safe share of critical [m/s]."""
    return min(speed.safe_road_speed for speed in m.critical_speeds)


def least_gap(m: Measurements) -> float:
    """Return the least gap to bottoming, in the states and over continuous travel [m]."""
    return float(min([*m.gap, *(limit.least_gap for limit in m.slip_limits)]))


def _changes(first: Measurements, second: Measurements, display: Display) -> Iterator[_Change]:
    """Return every number that is compared, where both have it."""
    limits, top = first.configuration.limits, first.configuration.vehicle.top_speed
    note = f"{limits.safe_share:.2f} of critical; top speed {display.speed.say(top)}"
    yield _Change(
        "whirl limit", (whirl_limit(first), whirl_limit(second)), display.speed, True, note
    )
    hard, rest = hardest_case(first), first.configuration.torque_cases[0].name
    for height, case in (("full droop", rest), ("ride height", hard), ("full bump", hard)):
        a, b = _state(first, height, case), _state(second, height, case)
        if a is None or b is None:
            continue
        angles = float(np.max(first.joint_angle[a])), float(np.max(second.joint_angle[b]))
        yield _Change(f"largest joint angle at {height}, {case},", angles, DEGREES, False)
        if height == "ride height":
            waves = float(first.fluctuation[a, -1]), float(second.fluctuation[b, -1])
            name = f"speed fluctuation of the pinion at {height}, {case},"
            yield _Change(name, waves, PERCENT, False, "peak to peak")
    yield _Change("least spline gap", (least_gap(first), least_gap(second)), display.length, True)


def _state(m: Measurements, height: str, case: str) -> int | None:
    """Return the number of a state by height and case, without roll, or None."""
    for number, state in enumerate(m.states):
        if (state.height, state.case, state.roll) == (height, case, 0.0):
            return number
    return None


def _count(number: int, noun: str) -> str:
    """Return a number of things in words."""
    return f"one {noun}" if number == 1 else f"{number} {noun}s"
