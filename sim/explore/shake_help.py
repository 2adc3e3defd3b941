"""What would help against a shake: every lever tried in the model, and judged again.

A lever is written as lines of the scene and carried out; its shake is compared with that before, in
draws that both share.  It helps where both kinds of ends say so, and is offered only where no
verdict gets worse.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product
from math import log
from typing import TypeVar

import numpy as np

from sim.arrays import Array, Index
from sim.crew import each
from sim.errors import EngineError, SimError
from sim.explore.cures_before import Before
from sim.explore.cures_lever import Lever
from sim.explore.cures_lines import carried_out, lines
from sim.explore.felt import BETTER, Band, Effect, bands_of, effect_of
from sim.explore.felt_near import BAND, Near, speed_of
from sim.explore.judged import findings_on
from sim.explore.shake_levers import shake_levers
from sim.explore.shaken import STEP, Order, shake_of
from sim.judge.findings import Findings
from sim.judge.rule import RuleSet
from sim.motion.states import Situation
from sim.scene.parts import Complaint, Configuration, Design

DRAWS = 64  # beside the one as read
ENOUGH = 0.8  # share of what the best step of a lever does, as a logarithm: a smaller one will do
USEFUL = 1.1  # times less as read, below which a lever is not tried with another one
ALONE, MORE = 2.0, 1.25  # a lever this good needs no other; what a second one must add
PAIRS = 2  # that are carried out
HELPS: tuple[Effect, ...] = ("cured", "better")

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which shake is to be less: of one order, in one state, over some road speeds [m/s]."""

    height: str
    situation: Situation
    order: Order
    slowest: float
    fastest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """What one lever, or two together, do to a shake.

    Attributes:
        levers: Their names, as in ``shake_levers.WORK``.
        does: What to do, in a clause.
        effect: What that does to the shake, in one word.
        ratio: Shake before over after [-], with rigid ends, and with ends on springs; empty where
            it has no amplitude there.
        changes: What to do, as lines of the scene.
        breaks: What it makes worse, in words; empty too where it does not help: not judged then.
        work: How much work it is, as in ``shake_levers.WORK``.
    """

    levers: tuple[str, ...]
    does: str
    effect: Effect = "cannot be told"
    ratio: tuple[Band, ...] = ()
    changes: tuple[str, ...]
    breaks: tuple[str, ...] = ()
    work: int

    @property
    def helps(self) -> bool:
        """Whether the shake is less."""
        return self.effect in HELPS

    @property
    def holds(self) -> bool:
        """Whether the shake is less, and no verdict worse."""
        return self.helps and not self.breaks

    @property
    def surely(self) -> float:
        """How many times less the shake is in all but 5 % of the draws."""
        return min((band.low for band in self.ratio), default=0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Tried:
    """One change, carried out."""

    values: Mapping[str, float]
    design: Design  # with its lines written into the scene
    help: Help  # as far as it is known


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Shaken:
    """How much a design shakes; D draws."""

    most: Array  # of all places together, within the road speeds [N], (2, D)
    kept: Index  # numbers of the draws, (D,)
    fastest: float  # road speed up to which it has an amplitude [m/s]


def asked_of(configuration: Configuration, complaint: Complaint, near: Near) -> Asked:
    """Return which shake a complaint asks to be less.

    Args:
        configuration: In which it is felt.
        complaint: What the driver feels.
        near: The order that may be it, from ``near_of``.
    """
    speed = speed_of(configuration, complaint, near.order)
    return Asked(
        height=near.state.height,
        situation=near.state.situation,
        order=near.order,
        slowest=speed - BAND,
        fastest=speed + BAND,
    )


def helps(
    configuration: Configuration, findings: Findings, rules: RuleSet, asked: Asked
) -> tuple[Help, ...]:
    """Return what every lever does to a shake.

    Args:
        configuration: In which it is felt, as it was read.
        findings: On it, as weighed; what their cures move already is not tried again.
        rules: That judged it.
        asked: Which shake.

    Returns:
        What helps and makes no verdict worse, most effect for its work first, two levers together
        only where none alone halves the shake; then what helps but makes one worse, and what does
        not help.  Nothing while readings are doubted or contradict, or were taken as exact, or
        where there is no such shake.

    Raises:
        GeometryError: If the parts cannot reach its state as read.
    """
    design = configuration.design
    contradicts = any(finding.cause == "contradiction" for finding in findings.findings)
    if design is None or configuration.doubted or contradicts or findings.sureness is None:
        return ()
    as_is = _shaken(design, asked)
    if as_is is None:
        return ()
    cures = (cure for finding in findings.findings for cure in finding.cures)
    moved = {line.partition(" = ")[0] for cure in cures for line in cure.changes}
    levers = shake_levers(configuration, asked.order)
    new = [lever for lever in levers if not moved & lever.values.keys()]
    tried = _Trials(design, rules, Before(findings), asked, as_is).of(new)
    return tuple(sorted((one.help for one in tried), key=_rank))


def _rank(one: Help) -> tuple[int, float]:
    """Return what helps are sorted by: what may be offered first, then effect over work."""
    order = 0 if one.holds else 1 if one.helps else 2
    return order, -log(max(one.surely, 1e-9)) / one.work


@dataclass(frozen=True, slots=True, eq=False)
class _Trials:
    """What changes of one design do to one shake, and to its verdicts."""

    design: Design
    rules: RuleSet
    before: Before
    asked: Asked
    as_is: _Shaken

    def of(self, levers: Sequence[Lever]) -> list[_Tried]:
        """Return the best that can be had of every lever, and of two where none alone will do."""
        steps = [[self._step(lever, k) for k in range(len(lever.says))] for lever in levers]
        known = iter(self._compared([step for of_one in steps for step in of_one]))
        compared = [[one for _ in of_one if (one := next(known))] for of_one in steps]
        best = [_best(of_one) for of_one in compared if of_one]
        alone = self._alone(best)
        most = max((one.help.surely for one in alone if one.help.holds), default=1.0)
        return alone if most >= ALONE else [*self._together(best, most), *alone]

    def _alone(self, best: Sequence[Sequence[_Tried]]) -> list[_Tried]:
        """Return of every lever the step that holds; else the first one, with what it breaks."""
        first = self._judged([of_one[0] for of_one in best])
        broken = [n for n, one in enumerate(first) if one.help.breaks and len(best[n]) > 1]
        again = self._judged([best[n][1] for n in broken])
        less = {n: one for n, one in zip(broken, again, strict=True) if one.help.holds}
        return [less.get(n, one) for n, one in enumerate(first)]

    def _together(self, best: Iterable[Sequence[_Tried]], most: float) -> list[_Tried]:
        """Return the two levers together that hold and do more than each alone, or none."""
        useful = [[one for one in of_one if _as_read(one.help) >= USEFUL] for of_one in best]
        pairs = [self._both(*two) for some in combinations(useful, 2) for two in product(*some)]
        enough = max(BETTER, MORE * most)
        good = [one for one in self._compared(pairs) if one and one.help.surely >= enough]
        likely = sorted(good, key=lambda one: _rank(one.help))[:PAIRS]
        return [one for one in self._judged(likely) if one.help.holds][:1]

    def _step(self, lever: Lever, k: int) -> _Tried:
        """Return a step of a lever, carried out."""
        values = {path: float(value[k]) for path, value in lever.values.items()}
        return self._change(values, (lever.tried,), lever.says[k], lever.work)

    def _both(self, one: _Tried, other: _Tried) -> _Tried:
        """Return two changes together."""
        a, b = one.help, other.help
        does = f"{a.does} and {b.does}"
        values = {**one.values, **other.values}
        return self._change(values, (*a.levers, *b.levers), does, a.work + b.work)

    def _change(
        self, values: Mapping[str, float], levers: tuple[str, ...], does: str, work: int
    ) -> _Tried:
        """Return a change, written as lines and carried out."""
        changes = lines(self.design, values)
        design = carried_out(self.design, changes)
        said = Help(levers=levers, does=does, changes=changes, work=work)
        return _Tried(values=values, design=design, help=said)

    def _compared(self, changes: Sequence[_Tried]) -> list[_Tried | None]:
        """Return changes with what they do to the shake; None where the parts cannot go there."""
        work = functools.partial(_shaken_alike, self.design, asked=self.asked)
        shaken = _side_by_side(work, [one.design for one in changes])
        return [
            None
            if isinstance(after, SimError)
            else replace(one, help=self._effect(one.help, after))
            for one, after in zip(changes, shaken, strict=True)
        ]

    def _effect(self, change: Help, after: _Shaken | None) -> Help:
        """Return a change with what it does to the shake."""
        if after is None or after.fastest < self.as_is.fastest:
            return change
        _, here, there = np.intersect1d(self.as_is.kept, after.kept, return_indices=True)
        ratio = bands_of(self.as_is.most[:, here] / np.maximum(after.most[:, there], 1e-9))
        return replace(change, ratio=ratio, effect=effect_of(ratio))

    def _judged(self, changes: Sequence[_Tried]) -> list[_Tried]:
        """Return changes, those that help with what they make worse."""
        asked = [one.design for one in changes if one.help.helps]
        found = iter(_side_by_side(functools.partial(findings_on, rules=self.rules), asked))
        return [
            replace(one, help=replace(one.help, breaks=self._breaks(next(found))))
            if one.help.helps
            else one
            for one in changes
        ]

    def _breaks(self, after: Findings | SimError | None) -> tuple[str, ...]:
        """Return what a change makes worse, in words."""
        if after is None or isinstance(after, SimError):
            return ("the parts cannot go everywhere then",)
        return tuple(dict.fromkeys(finding.what for finding in self.before.harmed(after)))


def _best(steps: Sequence[_Tried]) -> list[_Tried]:
    """Return the least step that does nearly all that can be had, and the least that helps."""
    helping = [one for one in steps if one.help.helps]
    if not helping:
        return [max(steps, key=lambda one: one.help.surely)]
    wish = ENOUGH * log(max(one.help.surely for one in helping))
    enough = next(one for one in helping if log(one.help.surely) >= wish)
    return [enough] if enough is helping[0] else [enough, helping[0]]


def _as_read(change: Help) -> float:
    """Return how many times less the shake is as read, with the ends that say less."""
    return min((band.value for band in change.ratio), default=0.0)


def _side_by_side(
    work: Callable[[Design], Made], designs: Sequence[Design]
) -> list[Made | SimError]:
    """Return what comes of designs; a change that leads where parts cannot go ends in an error.

    Raises:
        EngineError: If a process was killed, which says nothing of the change.
    """
    found = list(each(work, designs, "fork"))
    killed = next((one for one in found if isinstance(one, EngineError)), None)
    if killed is not None:
        raise killed
    return found


def _shaken_alike(before: Design, after: Design, asked: Asked) -> _Shaken | None:
    """Return how much a changed design shakes, in the draws of the design before.

    A reading is drawn by its text: what is changed keeps its text and the share of its ±.
    """
    readings = dict(after.readings)
    for path, was in before.readings.items():
        now = readings.get(path)
        if now is not None and now.text != was.text:
            spread = now.spread or was.spread * abs(now.value / was.value if was.value else 1.0)
            readings[path] = replace(now, text=was.text, status=was.status, spread=spread)
    return _shaken(replace(after, readings=readings), asked)


def _shaken(design: Design, asked: Asked) -> _Shaken | None:
    """Return how much a design shakes, or None where it has no amplitude."""
    first, last = max(round(asked.slowest / STEP), 1), round(asked.fastest / STEP)
    speeds = np.arange(first, last + 1, dtype=float) * STEP
    shake = shake_of(design.build(), speeds, (asked.height,), (asked.situation,), DRAWS)
    course = shake.course(asked.height, asked.situation, asked.order)
    if course is None:
        return None
    most, fastest = course.whole.max(axis=2), float(course.speed[-1])
    return _Shaken(most=most, kept=shake.kept, fastest=fastest)
