"""What the second configuration of a comparison buys and what it costs, from measurements."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

import numpy as np

from sim.display import ACCELERATION, DEGREES, PERCENT, Display, Unit
from sim.measure.measurements import CriticalSpeed, Measurements
from sim.show.plots.series import hardest_case
from sim.show.report.pages import Exchange
from sim.show.worth import ANGLE, FLUCTUATION, LENGTH, ROAD_SPEED, SHAKE, parts_words


@dataclass(frozen=True, slots=True)
class _Change:
    """One number of both configurations: SI values, unit, and whether more of it is better.

    A change of less than the least, in SI units, is not worth a word.
    """

    name: str
    values: tuple[float, ...]
    unit: Unit
    least: float
    more_is_better: bool = False
    note: str = ""
    enough: float = inf  # to have more is no gain

    @property
    def gain(self) -> float:
        """How much better it becomes; 0 where that is not worth a word."""
        before, after = (min(value, self.enough) for value in self.values)
        gain = after - before if self.more_is_better else before - after
        return gain if abs(gain) >= self.least else 0.0

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
    parts = parts_words(abs(more))
    return Exchange(
        first.configuration.name,
        second.configuration.name,
        tuple(c.say() for c in changes if c.gain > 0) + (f"{parts} less",) * (more < 0),
        tuple(c.say() for c in changes if c.gain < 0) + (f"{parts} more",) * (more > 0),
        _whirl_line(first, second, display),
    )


def _whirl_line(first: Measurements, second: Measurements, display: Display) -> str:
    """Return where each configuration meets its critical speed, and by which formula."""
    slowest = [min(m.critical_speeds, key=lambda c: c.safe_road_speed) for m in (first, second)]
    formulas = list(dict.fromkeys(c.formula for c in slowest))
    said = "; ".join(_whirl(m, c, display) for m, c in zip((first, second), slowest, strict=True))
    return f"{said}. By {' and '.join(formulas)}."


def _whirl(m: Measurements, critical: CriticalSpeed, display: Display) -> str:
    """Return the speeds of the shaft that whirls first."""
    safe, full = map(display.speed.say, (critical.safe_road_speed, critical.road_speed))
    share = m.configuration.limits.safe_share
    shaft = f" (shaft {critical.shaft})" if len(m.critical_speeds) > 1 else ""
    return (
        f"{m.configuration.name} reaches {share:.2f} of its critical speed at {safe}, and the "
        f"critical speed itself at {full}{shaft}"
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
    asked = f"{limits.safe_share:.2f} of critical; top speed {display.speed.say(top)}"
    speeds = whirl_limit(first), whirl_limit(second)
    yield _Change("whirl limit", speeds, display.speed, ROAD_SPEED, True, asked, top)
    hard, rest = hardest_case(first), first.configuration.torque_cases[0].name
    for height, case in (("full droop", rest), ("ride height", hard), ("full bump", hard)):
        a, b = _state(first, height, case), _state(second, height, case)
        if a is None or b is None:
            continue
        angles = float(np.max(first.joint_angle[a])), float(np.max(second.joint_angle[b]))
        yield _Change(f"largest joint angle at {height}, {case},", angles, DEGREES, ANGLE)
        if height == "ride height":
            waves = float(first.fluctuation[a, -1]), float(second.fluctuation[b, -1])
            name = f"speed fluctuation of the pinion at {height}, {case},"
            yield _Change(name, waves, PERCENT, FLUCTUATION, note="peak to peak")
    shaken = tuple(float(np.max(m.acceleration.inertial_drive)) for m in (first, second))
    yield _Change("hardest shaken shaft, under drive,", shaken, ACCELERATION, SHAKE)
    near = [[c.distance for c in m.numbers.near if c.obstacle != "ground"] for m in (first, second)]
    if all(near):
        apart = min(near[0]), min(near[1])
        yield _Change("least clearance to an obstacle", apart, display.length, LENGTH, True)
    # A gap that started larger at ride height is no merit of the layout.
    if np.isclose(first.configuration.spline.gap, second.configuration.spline.gap):
        gaps = least_gap(first), least_gap(second)
        yield _Change("least spline gap", gaps, display.length, LENGTH, True)


def _state(m: Measurements, height: str, case: str) -> int | None:
    """Return the number of a state by height and case, without roll, or None."""
    for number, state in enumerate(m.states):
        if (state.height, state.case, state.roll) == (height, case, 0.0):
            return number
    return None
