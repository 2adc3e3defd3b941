"""Changes of one design, carried out: what each does to one shake, to others, and to verdicts."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product
from math import log
from typing import TypeVar

from sim.crew import each
from sim.errors import EngineError, SimError
from sim.explore.cures_before import Before
from sim.explore.cures_lever import Lever
from sim.explore.cures_lines import carried_out, lines
from sim.explore.felt import BETTER, Band, Effect, effect_of
from sim.explore.judged import findings_on
from sim.explore.shake_amount import Asked, Shaken, gets_worse, moves, shaken
from sim.judge.findings import Finding, Findings
from sim.judge.judge import rank
from sim.judge.rule import RuleSet
from sim.scene.parts import Design

ENOUGH = 0.8  # share of what the best step of a lever does, as a logarithm: a smaller one will do
USEFUL = 1.1  # times less as read, below which a lever is not tried with another one
ALONE, MORE = 2.0, 1.25  # a lever this good needs no other; what a second one must add
PAIRS = 2  # that are carried out
MOVED = "it shakes as much at another road speed"
HELPS: tuple[Effect, ...] = ("cured", "better")

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """What one lever, or two together, do to a shake.

    Attributes:
        levers: Their names, as in ``shake_levers.WORK``.
        does: What to do, in a clause.
        effect: What that does to the shake, in one word.
        ratio: Shake before over after [-], with rigid ends, and with ends on springs; empty where
            it has no amplitude there, or the parts cannot go everywhere then.
        still: The same against the layout as it stands, where it shakes more than that even then.
        changes: What to do, as lines of the scene.
        breaks: The verdicts that it makes worse, the gravest first; none where it does not help:
            not judged then.
        harms: The other shakes that it makes worse, a clause each; none where it does not help.
        work: How much work it is, as in ``shake_levers.WORK``.
    """

    levers: tuple[str, ...]
    does: str
    effect: Effect = "cannot be told"
    ratio: tuple[Band, ...] = ()
    still: tuple[Band, ...] = ()
    changes: tuple[str, ...]
    breaks: tuple[Finding, ...] = ()
    harms: tuple[str, ...] = ()
    work: int

    @property
    def helps(self) -> bool:
        """Whether the shake is less."""
        return self.effect in HELPS

    @property
    def holds(self) -> bool:
        """Whether the shake is less, and nothing worse."""
        return self.helps and not self.breaks and not self.harms

    @property
    def surely(self) -> float:
        """How many times less the shake is in all but 5 % of the draws."""
        return min((band.low for band in self.ratio), default=0.0)

    @property
    def standing(self) -> tuple[int, int, int, float]:
        """What helps are sorted by: at what price, then effect over work; the best first."""
        order = 0 if self.holds else 1 if self.helps else 2
        gravest = min((rank(finding)[0] for finding in self.breaks), default=9)
        count = len(self.breaks) + len(self.harms)
        return order, -gravest, count, -log(max(self.surely, 1e-9)) / self.work


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tried:
    """One change, carried out."""

    values: Mapping[str, float]
    design: Design  # with its lines written into the scene
    help: Help  # as far as it is known


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trials:
    """What changes of one design do to one shake, to others, and to its verdicts.

    Attributes:
        design: Before a change.
        rules: That judged it.
        before: How its verdicts stand.
        asked: The shake that is to be less.
        as_is: How much that is.
        today: How much it is in the layout as it stands, without what ``check`` advises for it.
        anywhere: The shake that is to be less at all road speeds of its torque, and how much it is.
        others: Shakes that may not get worse, and how much they are, by a clause that says so.
    """

    design: Design
    rules: RuleSet
    before: Before
    asked: Asked
    as_is: Shaken
    today: Shaken
    anywhere: tuple[Asked, Shaken]
    others: Mapping[str, tuple[Asked, Shaken]]

    def of(self, levers: Sequence[Lever]) -> list[Tried]:
        """Return the best that can be had of every lever, and of two where none alone will do."""
        steps = [[self._step(lever, k) for k in range(len(lever.says))] for lever in levers]
        known = iter(self._compared([step for of_one in steps for step in of_one]))
        compared = [[one for _ in of_one if (one := next(known))] for of_one in steps]
        best = [_best(of_one) for of_one in compared if of_one]
        alone = self._alone(best)
        most = max((one.help.surely for one in alone if one.help.holds), default=1.0)
        return alone if most >= ALONE else [*self._together(best, most), *alone]

    def _alone(self, best: Sequence[Sequence[Tried]]) -> list[Tried]:
        """Return of every lever the step that holds, or does so at the least price."""
        first = self._judged([of_one[0] for of_one in best])
        dear = [n for n, one in enumerate(first) if one.help.helps and not one.help.holds]
        again = [n for n in dear if len(best[n]) > 1]
        less = dict(zip(again, self._judged([best[n][1] for n in again]), strict=True))
        return [
            min(one, less.get(n, one), key=lambda each: each.help.standing)
            for n, one in enumerate(first)
        ]

    def _together(self, best: Iterable[Sequence[Tried]], most: float) -> list[Tried]:
        """Return the two levers together that hold and do more than each alone, or none."""
        useful = [[one for one in of_one if _as_read(one.help) >= USEFUL] for of_one in best]
        pairs = [
            self._both(one, other)
            for some in combinations(useful, 2)
            for one, other in product(*some)
            if not one.values.keys() & other.values.keys()
        ]
        enough = max(BETTER, MORE * most)
        good = [one for one in self._compared(pairs) if one and one.help.surely >= enough]
        likely = sorted(good, key=lambda one: one.help.standing)[:PAIRS]
        return [one for one in self._judged(likely) if one.help.holds][:1]

    def _step(self, lever: Lever, k: int) -> Tried:
        """Return a step of a lever, carried out."""
        values = {path: float(value[k]) for path, value in lever.values.items()}
        return self._change(values, (lever.tried,), lever.says[k], lever.work)

    def _both(self, one: Tried, other: Tried) -> Tried:
        """Return two changes together."""
        a, b = one.help, other.help
        does = f"{a.does} and {b.does}"
        values = {**one.values, **other.values}
        return self._change(values, (*a.levers, *b.levers), does, a.work + b.work)

    def _change(
        self, values: Mapping[str, float], levers: tuple[str, ...], does: str, work: int
    ) -> Tried:
        """Return a change, written as lines and carried out."""
        changes = lines(self.design, values)
        design = carried_out(self.design, changes)
        said = Help(levers=levers, does=does, changes=changes, work=work)
        return Tried(values=values, design=design, help=said)

    def _compared(self, changes: Sequence[Tried]) -> list[Tried | None]:
        """Return changes with what they do to the shake; None where the parts cannot go there."""
        work = functools.partial(shaken, asked=self.asked)
        after = side_by_side(work, [one.design for one in changes])
        return [
            None if isinstance(then, SimError) else replace(one, help=self._effect(one.help, then))
            for one, then in zip(changes, after, strict=True)
        ]

    def _effect(self, change: Help, after: Shaken | None) -> Help:
        """Return a change with what it does to the shake."""
        ratio, since = self.as_is.over(after), self.today.over(after)
        if not ratio or not since:
            return change
        still = since if effect_of(since) == "worse" else ()
        return replace(change, ratio=ratio, effect=effect_of(ratio), still=still)

    def _judged(self, changes: Sequence[Tried]) -> list[Tried]:
        """Return changes, those that help with what they make worse."""
        asked = [one.design for one in changes if one.help.helps]
        verdicts = iter(side_by_side(functools.partial(findings_on, rules=self.rules), asked))
        shakes = iter(side_by_side(self._harmed, asked))
        return [
            replace(one, help=self._priced(one.help, next(verdicts), next(shakes)))
            if one.help.helps
            else one
            for one in changes
        ]

    def _priced(
        self, change: Help, after: Findings | SimError | None, harms: tuple[str, ...] | SimError
    ) -> Help:
        """Return a change with what it makes worse; it helps nobody where the parts cannot go."""
        if after is None or isinstance(after, SimError) or isinstance(harms, SimError):
            return replace(change, ratio=(), effect="cannot be told")
        return replace(change, breaks=tuple(self.before.harmed(after)), harms=harms)

    def _harmed(self, after: Design) -> tuple[str, ...]:
        """Return which other shakes get worse, a clause each."""
        worse = tuple(
            said for said, (asked, was) in self.others.items() if gets_worse(was, after, asked)
        )
        asked, was = self.anywhere
        return (*worse, MOVED) if moves(was, after, asked, self.as_is.most) else worse


def _best(steps: Sequence[Tried]) -> list[Tried]:
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


def side_by_side(
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
