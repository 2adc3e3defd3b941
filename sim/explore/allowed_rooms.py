"""How far off a shop may set one thing before a rule fails, everything else as designed.

A shop sets few things: the slope of the output on its mounts, the place of every bearing, the wedge
at the pinion, where the spline stands.  Each is moved both ways by itself.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Array, Marks
from sim.crew import each
from sim.errors import SimError
from sim.explore.cures_changes import LARGEST_WEDGE, REACH, SLIDE, signed
from sim.explore.evaluate import evaluate
from sim.judge.hold import FAILS, Held, hold
from sim.judge.rule import RuleSet
from sim.measure.clearance.clearance import measure_clearances
from sim.measure.numbers import Numbers
from sim.scene.parts import Design, plunging_joint

TIP = math.radians(3)  # the output's slope: more is another mount
COARSE, FINE, ROUNDS = 40, 32, 2  # steps to the reach, then between two of them, so many times
# Along cut shafts the bracket alone moves, and draws the rubber [m]; common practice, no source.
MOST_DRAWN, DRAWN = 0.010, "the bearing's rubber is drawn along its shaft"
HALVINGS = 12  # of the way to an end at which only what is dear to work out fails


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjustment:
    """One thing that a shop sets.

    Attributes:
        name: As in "output", "bearing 1 up", "pinion", "spline".
        paths: By path, how far each value goes with it [SI unit each].
        back, forth: How far it is tried each way [m] or [rad], both positive.
        beyond: Why it is not moved any farther, where that is more than where trying ends.
    """

    name: str
    paths: Mapping[str, float]
    back: float
    forth: float
    beyond: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How far one adjustment may be off.

    Attributes:
        adjustment: Of what.
        low, high: Farthest offsets at which no rule fails [m] or [rad], low ≤ 0 ≤ high.
        below, above: What fails beyond them, as in "Front joint bends too much (joint 1)"; "" where
            nothing does as far as it was tried; or why it is moved no farther.
    """

    adjustment: Adjustment
    low: float
    high: float
    below: str
    above: str


def rooms_of(design: Design, rules: RuleSet, numbers: Numbers) -> tuple[Room, ...]:
    """Return how far everything that a shop sets may be off.

    Args:
        design: Its structure and values; the values are numbers.
        rules: From ``load_rules``.
        numbers: Of the design in the whole sweep, as in ``Measurements``.

    Returns:
        One an adjustment; none goes anywhere where a rule fails as designed.

    Raises:
        EngineError: If a process that worked on one of them was killed.
    """
    trial = _Trial(design, rules, numbers)
    found = [trial.room(adjustment) for adjustment in adjustments_of(design)]
    # the whole sweep, and what is dear to work out, only where the rest ends
    rooms = []
    for one in each(functools.partial(_certified, design=design, rules=rules), found, "fork"):
        if isinstance(one, SimError):
            raise one
        rooms.append(one)
    return tuple(rooms)


def adjustments_of(design: Design) -> Iterator[Adjustment]:
    """Yield what a shop sets on a design, from the front.

    Args:
        design: Its structure and values; the values are numbers.
    """
    yield Adjustment(name="output", paths={"output.slope": 1.0}, back=TIP, forth=TIP)
    for number in range(1, len(design.structure.tubes)):
        for key, reach, why in (
            ("up", REACH, ""),
            ("aft", MOST_DRAWN, DRAWN),
            ("right", REACH, ""),
        ):
            name, paths = f"bearing {number} {key}", {f"bearing.{number}.{key}": 1.0}
            yield Adjustment(name=name, paths=paths, back=reach, forth=reach, beyond=why)
    if design.structure.suspension not in (None, "measured"):  # read as the pinion stands
        turn = LARGEST_WEDGE
        yield Adjustment(name="pinion", paths={"pinion.nose_up": 1.0}, back=turn, forth=turn)
    yield _spline(design)


def _spline(design: Design) -> Adjustment:
    """Return where the spline stands: the last shaft a little shorter or longer."""
    if "spline.gap" in design.values:
        gap, engaged = (float(design.values[f"spline.{key}"]) for key in ("gap", "engaged"))
        paths = {"spline.gap": 1.0, "spline.engaged": -1.0}
    else:
        path = f"joint.{plunging_joint(design.build())}.plunge"
        gap = float(design.values[f"{path}_in"])
        engaged, paths = float(design.values[path]) - gap, {f"{path}_in": 1.0}
    back, forth = min(SLIDE, gap), min(SLIDE, engaged - 1e-3)
    return Adjustment(name="spline", paths=paths, back=back, forth=max(forth, 0.0))


def moved(design: Design, adjustment: Adjustment, by: Array | float) -> dict[str, Array]:
    """Return the values of a design with one thing set otherwise, by path [SI unit, radians].

    Args:
        design: Its values are numbers.
        adjustment: What is set.
        by: How far off, shape (B,) or a number [m] or [rad].
    """
    offsets = np.atleast_1d(np.asarray(by, float))
    return {path: signed(design, path) + way * offsets for path, way in adjustment.paths.items()}


class _Trial:
    """One design under the rules, with one thing at a time set otherwise."""

    def __init__(self, design: Design, rules: RuleSet, numbers: Numbers) -> None:
        self.design, self.rules, self.near = design, rules, numbers
        self.states = tuple(state for state in numbers.states if state.height)

    def room(self, adjustment: Adjustment) -> Room:
        """Return how far one adjustment may be off by what is worked out for many at once."""
        sides = [_Side(-adjustment.back), _Side(adjustment.forth)]
        for steps in (COARSE, *[FINE] * ROUNDS):
            looked = [np.linspace(side.good, side.bad, steps + 1) for side in sides]
            broken, said = self._broken(adjustment, np.concatenate(looked))
            for number, side in enumerate(sides):
                here = slice(number * (steps + 1), (number + 1) * (steps + 1))
                side.narrow(looked[number], broken[here], said[here])
        low, high = sides
        below, above = (side.said or adjustment.beyond for side in sides)
        return Room(adjustment=adjustment, low=low.good, high=high.good, below=below, above=above)

    def _broken(self, adjustment: Adjustment, by: Array) -> tuple[Marks, list[str]]:
        """Return which offsets make a rule fail, shape (B,), and what it says there."""
        values = moved(self.design, adjustment, by)
        return _failing(evaluate(self.design, values, self.states, near=self.near), self.rules)


@dataclass(slots=True)
class _Side:
    """One way in which something is moved: the end lies between ``good`` and ``bad``."""

    bad: float
    good: float = 0.0
    said: str = ""  # what fails beyond the end

    def narrow(self, by: Array, broken: Marks, said: Sequence[str]) -> None:
        """Take in what came of offsets from ``good`` to ``bad``."""
        if not broken.any():
            self.good = self.bad
            return
        first = int(np.argmax(broken))
        self.good, self.bad, self.said = float(by[max(first - 1, 0)]), float(by[first]), said[first]


def _failing(numbers: Numbers, rules: RuleSet) -> tuple[Marks, list[str]]:
    """Return which designs break a rule that may fail, shape (B,), and the gravest of each."""
    lost = np.asarray(numbers.lost.any(axis=1))
    said = ["cannot be reached" if gone else "" for gone in lost]
    gravest = np.where(lost, np.inf, 0.0)
    for held in hold(rules.rules, numbers):
        if held.quantity.not_sampled:
            continue  # readings, which say what was; not what the shop sets
        worse = (held.verdict == FAILS) & (held.rule.severity > gravest)
        for design in np.flatnonzero(worse):
            gravest[design], said[design] = held.rule.severity, _words(held)
    return gravest > 0, said


def _words(held: Held) -> str:
    """Return what fails, as in "Front joint bends too much (joint 1)"."""
    return f"{held.rule.bad} ({held.part.where})"


def _certified(room: Room, design: Design, rules: RuleSet) -> Room:
    """Return a room whose ends keep every rule, clearance over continuous motion among them."""
    low, below = _end(room, room.low, room.below, design, rules)
    high, above = _end(room, room.high, room.above, design, rules)
    return replace(room, low=low, high=high, below=below, above=above)


def _end(room: Room, end: float, why: str, design: Design, rules: RuleSet) -> tuple[float, str]:
    """Return the farthest offset one way at which nothing fails, and what fails beyond it."""
    said = _fails_at(room.adjustment, end, design, rules) if end else ""
    if not said:
        return end, why
    good, bad = 0.0, end
    for _ in range(HALVINGS):
        middle = (good + bad) / 2
        broken = _fails_at(room.adjustment, middle, design, rules)
        good, bad, said = (good, middle, broken) if broken else (middle, bad, said)
    return good, said


def _fails_at(adjustment: Adjustment, by: float, design: Design, rules: RuleSet) -> str:
    """Return what fails of one design that is carried out, or ""."""
    changed = design.vary({p: float(v[0]) for p, v in moved(design, adjustment, by).items()})
    try:
        numbers = evaluate(changed, deep=True)
        if not numbers.lost.any():
            course = numbers.configuration, numbers.states
            numbers = replace(numbers, near=measure_clearances(*course, start=numbers.start)[0])
    except SimError:
        return "cannot be reached"
    return _failing(numbers, rules)[1][0]
