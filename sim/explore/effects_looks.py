"""Looks: numbers and the room to every limit, of many designs beside one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from sim.arrays import Array, Index, Marks
from sim.explore.cures_changes import signed
from sim.explore.effects_steps import Step
from sim.explore.evaluate import evaluate
from sim.judge.findings import Verdict
from sim.judge.hold import FAILS, PASSES, WATCH, Held, hold
from sim.judge.rule import RuleSet
from sim.measure.numbers import Numbers
from sim.motion.states import State
from sim.scene.parts import Design

MM, OF_100 = 1000.0, 100.0
VERDICTS: dict[int, Verdict] = {PASSES: "passes", WATCH: "watch", FAILS: "fails"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """One number that steps change.

    Attributes:
        name: As in "joint 1 at ride height".
        short: The same as the head of a narrow column, as in "1 ride"; "" where it has none.
        unit: One of the rules, as in "deg".
        value: As the configuration stands [unit].
    """

    name: str
    short: str
    unit: str
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit, as the configuration stands.

    Attributes:
        rule, where: Which, on what.
        what: What is wrong where it is broken, as in "Front joint is bent".
        unit: Of value, limit and room, one of the rules.
        value, limit: In the state that decides.
        room: How far the value may go before the limit is broken where it may fail, or, for one
            that only watches, anywhere; negative where it is broken.
        may_fail: Whether it can fail at all.
        verdict: As read.
    """

    rule: str
    where: str
    what: str
    unit: str
    value: float
    limit: float
    room: float
    may_fail: bool
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Looked:
    """What R designs come to, in C numbers and against L limits.

    Attributes:
        values: In the units of the numbers, shape (R, C); NaN where a state cannot be reached.
        room: In the units of the limits, shape (R, L).
        fails: Which limits fail, shape (R, L).
        lost: Which designs cannot reach a state, shape (R,).
    """

    values: Array
    room: Array
    fails: Marks
    lost: Marks

    def some(self, rows: slice) -> Looked:
        """Return some of the designs."""
        return Looked(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})

    def joined(self, more: Looked, order: Index) -> Looked:
        """Return these designs and more of them, in an order."""
        whole = {f.name: (getattr(self, f.name), getattr(more, f.name)) for f in fields(self)}
        return Looked(**{name: np.concatenate(both)[order] for name, both in whole.items()})


class Looks:
    """Looks at designs beside one.

    Attributes:
        base: What that one comes to.
        numbers: What is looked at, as it stands; C of them.
        limits: The same of every limit; L of them.
    """

    def __init__(self, design: Design, states: tuple[State, ...], rules: RuleSet) -> None:
        self._design, self._states, self._rules = design, states, rules
        numbers = evaluate(design, None, states, deep=True)
        held = hold(rules.rules, numbers)
        self._keys = tuple(one.key for one in held if one.quantity.not_sampled == "")
        self.base = self._looked(numbers)
        self.numbers = tuple(
            Number(name=name, short=short, unit=unit, value=float(values[0]))
            for name, short, unit, values in _numbers(numbers)
        )
        self.limits = tuple(_limit(one) for one in held if one.key in self._keys)

    def at(self, rows: Sequence[tuple[Step, float]]) -> Looked:
        """Return what comes of steps, each by itself.

        Args:
            rows: Steps, and how far each goes [SI unit of the step].
        """
        paths = dict.fromkeys(path for step, _ in rows for path in step.per)
        values = {path: np.full(1 + len(rows), signed(self._design, path)) for path in paths}
        for row, (step, far) in enumerate(rows, start=1):  # the first one starts all others
            for path, per in step.per.items():
                values[path][row] += per * far
        looked = self._looked(evaluate(self._design, values, self._states, deep=True))
        return looked.some(slice(1, 1 + len(rows)))

    def _looked(self, numbers: Numbers) -> Looked:
        """Return what designs come to."""
        held = {one.key: one for one in hold(self._rules.rules, numbers)}
        lost = np.asarray(numbers.lost.any(axis=1))
        found = np.stack([column for *_, column in _numbers(numbers)], axis=-1)
        return Looked(
            values=np.where(lost[:, None], np.nan, found),
            room=np.stack([_room(held[key]) for key in self._keys], axis=-1),
            fails=np.stack([held[key].verdict == FAILS for key in self._keys], axis=-1),
            lost=lost,
        )


def _numbers(n: Numbers) -> list[tuple[str, str, str, Array]]:
    """Return name, short name, unit and values (B,) of what steps change."""
    ride = next(k for k, state in enumerate(n.states) if state.situation == "ride height")
    turning = [k for k, state in enumerate(n.states) if state.turning]
    angle, uneven = np.degrees(n.joint_angle), OF_100 * n.fluctuation[..., -1]
    joints = range(angle.shape[-1])
    most = angle[:, turning].max(axis=1)
    return [
        *(
            (f"joint {j + 1} at ride height", f"{j + 1} ride", "deg", angle[:, ride, j])
            for j in joints
        ),
        *((f"joint {j + 1}, most", f"{j + 1} most", "deg", most[:, j]) for j in joints),
        ("gap at ride height", "", "mm", MM * n.gap[:, ride]),
        ("gap, least", "gap", "mm", MM * n.gap.min(axis=1)),
        ("engaged length, least", "engaged", "mm", MM * n.engaged.min(axis=1)),
        ("fluctuation at ride height", "", "%", uneven[:, ride]),
        ("fluctuation, most", "uneven", "%", uneven[:, turning].max(axis=1)),
    ]


def _limit(held: Held) -> Limit:
    """Return a limit as the first design stands to it."""
    return Limit(
        rule=held.rule.id,
        where=str(held.part.where),
        what=held.rule.bad,
        unit=held.quantity.unit,
        value=float(held.value[0]),
        limit=float(held.limit[0]),
        room=float(_room(held)[0]),
        may_fail=held.may_fail,
        verdict=VERDICTS[int(held.verdict[0])],
    )


def _room(held: Held) -> Array:
    """Return how far the value may go before the limit is broken [unit of the quantity], (B,)."""
    return np.asarray(-(held.short if held.may_fail else held.over))
