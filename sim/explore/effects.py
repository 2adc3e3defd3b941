"""Effects: what each millimeter does to angles, spline and the room to every limit.

The shafts stay as they were cut.  All steps at all distances are designs of one ``evaluate``; a
second one looks closely at where a limit gives way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Marks
from sim.explore.effects_heights import carried, moved
from sim.explore.effects_looks import Limit, Looked, Looks, Number
from sim.explore.effects_steps import Step, steps_of
from sim.judge.judge import judge_numbers
from sim.judge.rule import RuleSet
from sim.judge.samples import states_to_sample
from sim.measure.measurements import Measurements

CLOSER = 5  # designs between two distances, of which the farther one breaks a limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Flip:
    """Where a limit gives way, or is kept again.

    Attributes:
        at: How far the step has gone there, with its sign [SI unit of the step].
        limit: Which limit; None where the parts cannot go any farther.
    """

    at: float
    limit: Limit | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Effect:
    """What one step does.

    Attributes:
        step: The step.
        change: By how much one step more changes every number [unit of the number], shape (C,).
        room: The same of the room to every limit [unit of the limit], shape (L,).
        breaks: The first limit that gives way with less, and with more, of the step; None where
            none does as far as it is followed.
        mends: Where each limit that is broken is kept again, the nearer way; those that are.
    """

    step: Step
    change: Array
    room: Array
    breaks: tuple[Flip | None, Flip | None]
    mends: tuple[Flip, ...]

    @property
    def nearest(self) -> float:
        """How many steps it takes until a limit gives way, the nearer way [-]; inf for never."""
        return min((abs(f.at) / self.step.size for f in self.breaks if f), default=np.inf)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Effects:
    """What each millimeter does to one configuration.

    Attributes:
        configuration, rule_set: Names.
        numbers: What steps change, C of them.
        limits: Every limit that is looked at, L of them.
        effects: One a step; what breaks a limit soonest is ahead.
        notes: What was left out, a sentence each.
    """

    configuration: str
    rule_set: str
    numbers: tuple[Number, ...]
    limits: tuple[Limit, ...]
    effects: tuple[Effect, ...]
    notes: tuple[str, ...]


def effects_of(measurements: Measurements, rules: RuleSet) -> Effects:
    """Return what each millimeter does to a configuration whose shafts are cut.

    A change is the middle difference of one step either way; of load, which only grows, that of
    one step.

    Args:
        measurements: Of a configuration that was built from a design.
        rules: From ``load_rules``; the states that decide under them are looked at.

    Returns:
        Numbers, limits, and the effect of every step on them.
    """
    configuration = measurements.configuration
    findings = judge_numbers(measurements.numbers, rules)
    states = states_to_sample(measurements.states, findings)
    looks = Looks(carried(configuration), moved(configuration, states), rules)
    steps, notes = steps_of(configuration, measurements.numbers)
    courses = [_Course(step, looks) for step in steps]
    _follow(courses, [step.offsets() for step in steps], looks)
    _follow(courses, [course.between() for course in courses], looks)
    effects = [course.effect() for course in courses]
    return Effects(
        configuration=configuration.name,
        rule_set=rules.name,
        numbers=looks.numbers,
        limits=looks.limits,
        effects=tuple(sorted(effects, key=lambda effect: effect.nearest)),
        notes=tuple(notes),
    )


def _follow(courses: Sequence[_Course], fars: Sequence[Array], looks: Looks) -> None:
    """Look at every step at its distances, all together."""
    looked = looks.at(
        [(c.step, far) for c, some in zip(courses, fars, strict=True) for far in some]
    )
    start = 0
    for course, some in zip(courses, fars, strict=True):
        course.add(some, looked.some(slice(start, start + len(some))))
        start += len(some)


class _Course:
    """What comes of one step, the farther it goes.

    Attributes:
        step: The step.
        limits: Every limit as the configuration stands.
        far: How far it goes [SI unit of the step], rising, shape (R,).
    """

    def __init__(self, step: Step, looks: Looks) -> None:
        self.step, self.limits, self.far = step, looks.limits, np.zeros(1)
        self._looked = looks.base
        self._broken = np.array([limit.verdict == "fails" for limit in looks.limits])

    def add(self, far: Array, looked: Looked) -> None:
        """Take in what comes of some more distances."""
        order = np.argsort(np.concatenate([self.far, far]))
        self.far = np.concatenate([self.far, far])[order]
        self._looked = self._looked.joined(looked, order)

    def between(self) -> Array:
        """Return distances between rows where a limit gives way, or may do so unseen."""
        firsts = [self._first(flips, way) for flips in self._flips() for way in (-1, 1)]
        ends = {rows for rows in firsts if rows} | self._dips()
        inside = [
            np.linspace(self.far[here], self.far[there], CLOSER + 2)[1:-1]
            for here, there in sorted(ends)
        ]
        return np.unique(np.concatenate(inside)) if inside else np.empty(0)

    def _dips(self) -> set[tuple[int, int]]:
        """Return neighboring rows between which the room of a limit may be less than nothing.

        A least angle has most room far to either side: the straight lines through the rows before
        and behind, drawn on, cross below the lowest place that a curve open upward has between.
        """
        mine = [n for n, limit in enumerate(self.limits) if limit.may_fail and limit.room > 0]
        room, width = self._looked.room[:, mine], np.diff(self.far)[:, None]
        slope = np.diff(room, axis=0) / width
        before, behind, here, there = slope[:-2], slope[2:], room[1:-2], room[2:-1]
        falls = (before < 0) & (behind > 0) & (here > 0) & (there > 0)
        along = (there - here - behind * width[1:-1]) / np.where(falls, before - behind, 1.0)
        rows = np.flatnonzero((falls & (here + before * along < 0)).any(axis=1)) + 1
        return {(row, row + 1) for row in rows.tolist()}

    def effect(self) -> Effect:
        """Return what the step does."""
        down, up = (self._row(far) for far in (-self.step.size, self.step.size))
        steps = round((self.far[up] - self.far[down]) / self.step.size)
        values, room = self._looked.values, self._looked.room
        gone, *kept = self._flips()
        ways = [self._nearest(flips) for flips in kept]
        return Effect(
            step=self.step,
            change=(values[up] - values[down]) / steps,
            room=(room[up] - room[down]) / steps,
            breaks=(self._flip(gone, -1), self._flip(gone, 1)),
            mends=tuple(flip for flip in ways if flip),
        )

    def _row(self, far: float) -> int:
        """Return the row of a distance, or the nearest there is."""
        return int(np.argmin(np.abs(self.far - far)))

    def _flips(self) -> list[Marks]:
        """Return which limits give way or the parts cannot go; then each broken one kept again.

        Each of shape (R, L + 1), what stands last says that the parts cannot go.
        """
        fails, lost = self._looked.fails, self._looked.lost[:, None]
        kept = ~fails & self._broken & ~lost
        columns = np.arange(len(self._broken) + 1)
        whole = np.column_stack([kept, np.zeros_like(lost)])
        each = [whole & (columns == n) for n in np.flatnonzero(self._broken)]
        return [np.column_stack([fails & ~self._broken, lost]), *each]

    def _first(self, flips: Marks, way: int) -> tuple[int, int] | None:
        """Return the last row without a flip and the first with one, to one side."""
        row = self._row(0.0)
        while 0 <= row + way < len(self.far):
            if flips[row + way].any():
                return row, row + way
            row += way
        return None

    def _nearest(self, flips: Marks) -> Flip | None:
        """Return the flip to the nearer side, or None."""
        found = [flip for way in (-1, 1) if (flip := self._flip(flips, way))]
        return min(found, key=lambda flip: abs(flip.at), default=None)

    def _flip(self, flips: Marks, way: int) -> Flip | None:
        """Return the first flip to one side, where between two rows its room ends."""
        rows = self._first(flips, way)
        if rows is None:
            return None
        here, there = rows
        shares = {n: self._share(n, here, there) for n in np.flatnonzero(flips[there]).tolist()}
        first = min(shares, key=lambda n: shares[n])
        at = self.far[here] + shares[first] * (self.far[there] - self.far[here])
        limit = self.limits[first] if first < len(self.limits) else None
        return Flip(at=float(at), limit=limit)

    def _share(self, limit: int, here: int, there: int) -> float:
        """Return the share of the way between two rows at which the room of a limit ends."""
        if limit == len(self.limits):
            return 0.0  # the last row that the parts can reach
        before, after = self._looked.room[here, limit], self._looked.room[there, limit]
        return float(before / (before - after)) if before * after < 0 else 1.0
