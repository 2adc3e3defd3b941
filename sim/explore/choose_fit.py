"""What is ordered to suit: the least tube that whirl and torque allow, and how a spline is set.

Both are chosen for every place by itself, so nothing is missed: a larger tube only takes more room,
and a spline only slides.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index, Marks
from sim.crew import each
from sim.errors import SimError
from sim.explore.choose_rows import CHUNK, LEAST, Look, Rows, count, joined, named, some
from sim.explore.choose_stock import StockTube
from sim.judge.hold import PASSES, Held, hold
from sim.measure.numbers import Numbers
from sim.scene.parts import Tube

ROOM = 2.0  # standard deviations that are kept to a limit: 97.5 % of a normal distribution
STEP = {"metric": 5e-3, "inch": 6.35e-3}  # in which a shaft is cut and a spline is longer
LONGEST = 0.15  # [m] by which a spline may be longer than the one there is
NO_LIMIT = 1e3  # [m]
WHIRL = "whirl limit"  # the quantity


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """The tubes and the spline that every place may have.

    Attributes:
        look: How designs are looked at.
        tubes: For every shaft, tubes in the order of choice: its own, then the lightest first.
        strong: Whether each stands for the torque, (N, T); T of the longest list.
        faster: Critical speed with each, over that with the shaft's own, (N, T).
    """

    look: Look
    tubes: tuple[tuple[Tube, ...], ...]
    strong: Marks
    faster: Array

    @classmethod
    def of(cls, look: Look, stock: Sequence[StockTube]) -> Fit:
        """Return what may be fitted, of a list of tubes, the lightest first."""
        tubes = tuple(
            (shaft.tube, *(one.tube for one in stock if one.tube.material == shaft.tube.material))
            for shaft in look.near.configuration.shafts
        )
        longest = max(len(some) for some in tubes)
        number = np.arange(longest)[:, None].repeat(len(tubes), axis=1)
        found = look.numbers(_tube_values(tubes, number), look.near.states[:1], deep=True)
        there = np.array([np.arange(longest) < len(some) for some in tubes])
        strong = _strong(look, found, longest) & there
        strong |= there & ~strong.any(axis=1, keepdims=True)  # none does: a finding says so
        speed = found.critical_speed[:longest].T
        return cls(look=look, tubes=tubes, strong=strong, faster=speed / speed[:, :1])

    def fitted(self, rows: Rows) -> tuple[Rows, Marks]:
        """Return designs with tubes and spline, and which have both and keep all other limits.

        Args:
            rows: The designs.
        """
        size = count(rows)
        parts = [some(rows, slice(low, low + CHUNK)) for low in range(0, size, CHUNK)]
        found: list[tuple[Rows, Marks]] = []
        for one in each(functools.partial(_part, self), parts, "fork", most=2):
            if isinstance(one, SimError):
                raise one
            found.append(one)
        return joined([one[0] for one in found]), np.concatenate([one[1] for one in found])

    def tube_of(self, held: Sequence[Held], size: int) -> Index:
        """Return the first tube of every shaft that stands for torque and whirl, (B, N); −1: none.

        Args:
            held: What some designs come to with the shafts' own tubes.
            size: How many designs these are.
        """
        shafts = len(self.strong)
        holds = np.repeat(self.strong[None], size, axis=0)
        for one in held:
            if one.rule.quantity != WHIRL or not one.may_fail:
                continue
            shaft = one.part.where.number - 1
            own = np.asarray(one.value)[:size]
            rest = self.look.spreads.get(one.key, 0.0) / max(float(np.mean(own)), LEAST)
            values = own[:, None] * self.faster[shaft][None]
            limit = np.broadcast_to(one.limit, one.value.shape)[:size, None]
            holds[:, shaft] &= values * (1 - ROOM * rest) >= limit
        first = holds.argmax(axis=2)
        return np.where(holds.any(axis=2), first, -1).reshape(size, shafts)


def _strong(look: Look, found: Numbers, longest: int) -> Marks:
    """Return whether tubes stand for the torque, (N, T)."""
    strong = np.ones((len(found.configuration.shafts), longest), bool)
    for one in hold(look.rules, found):
        if one.part.where.kind == "shaft" and one.quantity.unit == "N m":
            strong[one.part.where.number - 1] &= (one.verdict == PASSES)[:longest]
    return strong


def _part(fit: Fit, rows: Rows) -> tuple[Rows, Marks]:
    """Return some designs with tubes and spline, and which hold."""
    look, size = fit.look, count(rows)
    numbers = look.numbers(rows, named(look.near.states))
    held = hold(look.rules, numbers)
    tube = fit.tube_of(held, size)
    fits = (tube >= 0).all(axis=1) & ~np.asarray(numbers.lost.any(axis=1))[:size]
    for one in held:
        fitted = one.part.where.kind == "spline" or one.rule.quantity == WHIRL
        if one.may_fail and not fitted:
            fits &= look.room(one)[:size] >= 1.0
    moved, splined = _with_spline(look, held, size)
    return {**rows, **_tube_values(fit.tubes, tube.clip(min=0)), **moved}, fits & splined


def _tube_values(tubes: Sequence[Sequence[Tube]], chosen: Index) -> dict[str, Array]:
    """Return the values of chosen tubes, (B, N), by path."""
    found = {}
    for shaft, some_tubes in enumerate(tubes):
        here = np.minimum(chosen[:, shaft], len(some_tubes) - 1)
        for key in ("outside", "wall", "yield_stress"):
            given = [getattr(tube, key) for tube in some_tubes]
            if None not in given:
                found[f"shaft.{shaft + 1}.tube.{key}"] = np.array(given, float)[here]
    return found


def _with_spline(look: Look, held: Sequence[Held], size: int) -> tuple[dict[str, Array], Marks]:
    """Return values of a spline that is set to suit, longer where it must be, and where one is."""
    values = look.design.values
    if not {"spline.gap", "spline.engaged"} <= values.keys():
        return {}, np.ones(size, bool)  # a joint plunges in its place
    every, grave = (_demands(look, held, size, grave=grave) for grave in (False, True))
    step = STEP[look.design.display]
    missing = np.ceil(np.maximum(grave[0] - grave[1], 0.0) / step - 1e-6) * step
    by = np.where(every[0] <= every[1], _moves(*every, step), _moves(*grave, step))
    longer = np.where(missing > 0, np.ceil((every[0] - every[1]) / step - 1e-6) * step, 0.0)
    by = np.where(missing > 0, np.ceil(every[0] * 1e3 - 1e-6) / 1e3, by)
    gap = float(values["spline.gap"]) + by
    engaged = float(values["spline.engaged"]) - by + longer
    found = {"spline.gap": gap, "spline.engaged": engaged}
    if "spline.shorter" in values:
        found["spline.shorter"] = float(values["spline.shorter"]) + longer
    return found, (gap >= 0) & (engaged > 1e-3) & (longer <= LONGEST)


def _moves(least: Array, most: Array, step: float) -> Array:
    """Return the least move between two bounds, in steps where one lies between [m], (B,)."""
    nearest = np.where(least > 0, np.ceil(least / step - 1e-9), np.floor(most / step + 1e-9)) * step
    inside = (least <= nearest) & (nearest <= most)
    stays = (least <= 0) & (most >= 0)
    return np.where(stays, 0.0, np.where(inside, nearest, (least + most) / 2))


def _demands(look: Look, held: Sequence[Held], size: int, *, grave: bool) -> tuple[Array, Array]:
    """Return how far a spline is moved at least and at most, its gap larger [m], each (B,).

    What all limits on it ask for; where ``grave``, only those that may fail.
    """
    least, most = np.full(size, -NO_LIMIT), np.full(size, NO_LIMIT)
    for one in held:
        if one.part.where.kind != "spline" or (grave and not one.may_fail):
            continue
        spread = look.spreads.get(one.key, 0.0) if one.may_fail else 0.0
        far = np.nan_to_num(one.short if one.may_fail else one.over, nan=-NO_LIMIT * 1e3)
        need = (far + ROOM * spread)[:size] / 1e3  # rules look at mm
        if one.rule.quantity.startswith("engaged"):
            most = np.minimum(most, -need)
        else:
            least = np.maximum(least, need)
    return least, most
