"""Where nothing is sound: which limit stands in the way, and the least that opens a window."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from sim import units
from sim.errors import SimError
from sim.explore.choose import Chosen, Progress
from sim.explore.choose_bases import Base
from sim.explore.choose_pool import LOOSE, Pool, missed, pool_of
from sim.explore.choose_trial import Choice, Trial, is_sound
from sim.explore.cures_changes import levers_of, signed
from sim.explore.cures_lever import Lever, lever_in
from sim.explore.cures_lines import amount, unit_of
from sim.judge.rule import Rule
from sim.scene.parts import Design

REASONS = 2  # limits that are named
BLOCKS = 8  # steps of a block between axle and spring


@dataclass(frozen=True, slots=True, kw_only=True)
class Nothing:
    """Why nothing is sound, and the least that would open a window.

    Attributes:
        sentence: Both in words.
        opens: The relaxation in a clause, or "" where none was found.
        lines: The design with it, as lines of the scene; it was carried out and is sound.
        choice: That design, or None.
    """

    sentence: str
    opens: str = ""
    lines: tuple[str, ...] = ()
    choice: Choice | None = None


def reasons_of(pool: Pool) -> list[str]:
    """Return the limits that the nearest of all designs misses, the farthest first, in words.

    Args:
        pool: Of which nothing is left.
    """
    if pool.ended is None:
        if len(pool.found.rooms):
            return []
        return ["no place keeps the limits of the front joint and leaves shafts to be built"]
    far = missed(pool.ended)
    best = int(np.argmin(far))
    short = LOOSE - pool.ended.rooms[best]
    order = [k for k in np.argsort(-short, kind="stable").tolist() if short[k] > 0]
    rules = {rule.id: rule for rule in pool.look.rules}
    said = (_reason(rules, *pool.ended.keys[k]) for k in order)
    return list(dict.fromkeys(said))[:REASONS]


def _reason(rules: dict[str, Rule], rule: str, where: str) -> str:
    """Return a limit that is broken as a clause, as in "top speed is beyond whirl (shaft 1)"."""
    if rule not in rules:
        return "the parts cannot reach every height"
    bad = rules[rule].bad
    return f"{bad[:1].lower()}{bad[1:]} ({where})"


def least_of(trial: Trial, chosen: Chosen, progress: Progress) -> Nothing:
    """Return why nothing is sound, and the least relaxation that opens a window.

    Args:
        trial: Carries designs out.
        chosen: What was looked at; its short list is empty.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].

    Returns:
        The reasons; and of top speed, stops, droop and ride height that whose least step opens a
        window for the least share of what it is, with the design found there, carried out.
    """
    near = sorted(chosen.pools, key=lambda number: _far(chosen.pools[number]))
    bases = [chosen.bases[number] for number in near]
    reasons = reasons_of(chosen.pools[near[0]]) if len(near) == 1 else []
    way = f"In the way: {' and '.join(reasons)}.  " if reasons else ""
    found: list[tuple[float, str, Choice]] = []
    levers = list(_relaxations(bases[0].design)) if bases else []
    for number, lever in enumerate(levers):
        progress("what would open a window", number / len(levers))
        step = _least_step(trial, bases, lever)
        if step is not None:
            k, choice = step
            found.append((float(lever.size[k]), lever.says[k], choice))
    progress("what would open a window", 1.0)
    if not found:
        tried = ", ".join(dict.fromkeys(lever.tried for lever in levers))
        return Nothing(sentence=f"{way}Nothing that was tried opens a window: {tried}.")
    _, says, choice = min(found, key=lambda one: one[0])
    added = choice.base.written(choice.lines, "x")
    start = f", starting from {added.like}" if added.like else ""
    sentence = (
        f"{way}The least that opens a window: {says}.  Then this is sound{start}: "
        f"{', '.join(added.lines)}."
    )
    return Nothing(sentence=sentence, opens=says, lines=added.lines, choice=choice)


def _far(pool: Pool) -> float:
    """Return how far the nearest design of a structure is from being sound."""
    return np.inf if pool.ended is None else float(missed(pool.ended).min())


def _relaxations(design: Design) -> Iterator[Lever]:
    """Yield what a vehicle may do less, every step as a share of what it does today."""
    paths = ("vehicle.top_speed", "travel.bump", "travel.droop")
    for lever in levers_of(design):
        path = next(iter(lever.values))
        if lever.limits_use and path in paths:
            values = lever.values[path]
            share = np.abs(values / signed(design, path) - 1)
            yield lever_in(lever.tried, 0, range(len(share)), share, lever.values, lever.says)
    if design.structure.suspension == "leaf":
        yield from _blocks(design)


def _blocks(design: Design) -> Iterator[Lever]:
    """Yield another ride height by blocks between axle and spring: the leaf's own path stays."""
    path, step = "suspension.seat_above_axle", 5e-3
    if unit_of(design, units.LENGTH, "pinion.up") == "in":
        step = 6.35e-3
    if path not in design.values:
        return
    travel = float(design.values.get("travel.bump", 0.1))
    for way, sign in (("higher", 1.0), ("lower", -1.0)):
        moved = sign * step * np.arange(1, BLOCKS + 1)
        unit = unit_of(design, units.LENGTH, "pinion.up")
        said = [amount(units.LENGTH, abs(by), unit) for by in moved.tolist()]
        values = {
            "pinion.up": signed(design, "pinion.up") - moved,
            "axle.up": signed(design, "axle.up") - moved,
            path: signed(design, path) + moved,
        }
        says = [f"set the ride height {by} {way} by blocks at the springs" for by in said]
        yield lever_in("ride height", 0, range(BLOCKS), np.abs(moved) / travel, values, says)


def _least_step(trial: Trial, bases: Sequence[Base], lever: Lever) -> tuple[int, Choice] | None:
    """Return the least step of a relaxation that opens a window, and the design found there.

    The last step is looked at first: where it opens nothing, none does.  Between one that does
    not and one that does, the middle is looked at next: one step less does not open.
    """
    low, high = -1, len(lever.steps) - 1
    found = _opened(trial, bases, lever, high)
    if found is None:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        here = _opened(trial, bases, lever, middle)
        if here is None:
            low = middle
        else:
            high, found = middle, here
    return high, found


def _opened(trial: Trial, bases: Sequence[Base], lever: Lever, k: int) -> Choice | None:
    """Return a sound design with one step of a relaxation, or None."""
    values = {path: float(steps[k]) for path, steps in lever.values.items()}
    for base in bases:
        try:
            design = base.design.vary(values)
            pool = pool_of(design, trial.rules.rules, trial.stock, _quiet)
        except SimError:
            continue
        for kind in pool.kinds():
            choice = trial.best((base, pool, kind), values)
            if choice is not None and is_sound(choice.judged.findings):
                return choice
    return None


def _quiet(done: float) -> None:
    """Show no progress."""
    del done
