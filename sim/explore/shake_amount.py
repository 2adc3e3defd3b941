"""How much a design shakes, and whether a change of it makes that worse."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index
from sim.explore.felt import NOTHING, Band, effect_of, ratio_of
from sim.explore.shaken import STEP, Order, shake_of
from sim.measure.shake.peaks import UNFELT
from sim.motion.states import Situation
from sim.scene.parts import Design

DRAWS = 64  # beside the one as read


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A shake: of one order, in one state, over some road speeds [m/s].

    Attributes:
        height, situation, order: Which.
        slowest, fastest: Road speeds [m/s].
        balanced_at: Road speed at which the shafts had to run true when they were built [m/s].
    """

    height: str
    situation: Situation
    order: Order
    slowest: float
    fastest: float
    balanced_at: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shaken:
    """How much a design shakes; D draws."""

    whole: Array  # of all places together at every road speed [N], (2, D, V)
    kept: Index  # numbers of the draws, (D,)
    fastest: float  # road speed up to which it has an amplitude [m/s]

    @property
    def most(self) -> Array:
        """The most within the road speeds [N], (2, D)."""
        return np.asarray(self.whole.max(axis=2))

    def over(self, after: Shaken | None) -> tuple[Band, ...]:
        """Return this over what it is after a change [-]; nothing where that has no amplitude."""
        if after is None or after.fastest < self.fastest:
            return ()
        then = after.whole[..., : self.whole.shape[2]].max(axis=2)
        return ratio_of((self.most, self.kept), (then, after.kept))


def shaken(design: Design, asked: Asked) -> Shaken | None:
    """Return how much a design shakes, or None where it has no amplitude.

    Draws are shared by designs as far as their readings are: what is fitted anew has an error of
    its own.  Shafts are balanced for the road speed that they were built for, and stay so where the
    vehicle is driven slower.
    """
    design = design.vary({"vehicle.top_speed": asked.balanced_at})
    first, last = max(round(asked.slowest / STEP), 1), round(asked.fastest / STEP)
    speeds = np.arange(first, last + 1, dtype=float) * STEP
    shake = shake_of(design.build(), speeds, (asked.height,), (asked.situation,), DRAWS)
    course = shake.course(asked.height, asked.situation, asked.order)
    if course is None:
        return None
    return Shaken(whole=course.whole, kept=shake.kept, fastest=float(course.speed[-1]))


def gets_worse(was: Shaken, after: Design, asked: Asked) -> bool:
    """Say whether a shake gets worse than it was by a change, and can be felt then.

    It does too where it comes too near a critical speed for any amplitude.
    """
    then = shaken(after, asked)
    if then is None or then.fastest < was.fastest:
        return True
    felt = np.percentile(then.most, 95, axis=1).max() >= UNFELT
    return bool(felt) and effect_of(was.over(then)) == "worse"


def moves(was: Shaken, after: Design, asked: Asked, least: Array) -> bool:
    """Say whether a change makes a shake worse at some road speed.

    Args:
        was: How much it was without the change.
        after: With the change.
        asked: Which shake, over all road speeds.
        least: What it must come to there to be told [N], (2, D).
    """
    now = shaken(after, asked)
    if now is None:
        return False
    _, here, there = np.intersect1d(was.kept, now.kept, return_indices=True)
    speeds = min(was.whole.shape[2], now.whole.shape[2])
    then = np.maximum(now.whole[:, there, :speeds], NOTHING)
    ratio = np.maximum(was.whole[:, here, :speeds], NOTHING) / then
    low, high = np.percentile(ratio, (5, 95), axis=1)
    felt = np.median(then, axis=1) >= np.median(least, axis=1)[:, None]
    at_each = np.stack([low, high], axis=-1)[:, felt.any(axis=0)].swapaxes(0, 1)
    return any(
        effect_of([Band(value=a, low=a, high=b) for a, b in ends]) == "worse"
        for ends in at_each.tolist()
    )
