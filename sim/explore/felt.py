"""The answer to a complaint: which order fits, and what another configuration does to it.

Forces are compared as ratios of configurations that share their draws.  Both kinds of ends, rigid
and on springs, must say the same; the truth lies between.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sim.arrays import Array, Index
from sim.explore.felt_near import Meeting, Near
from sim.explore.shaken import Order
from sim.measure.shake.peaks import UNFELT
from sim.motion.states import Situation
from sim.scene.parts import Complaint

# Our own choices, no source.
CURED = 3.0  # ratio, felt over other, that all but 5 % of draws pass
BETTER = 1.25  # and its inverse, in the middle of a band that is all on one side of 1, or wide
SAME = 1.5  # and its inverse, between which 90 % of draws lie
EITHER = 0.15  # share of draws from which a place may be the one
MAY_PEAK, PEAKS = 0.05, 0.5  # share of draws in which a force swells there: it may, it does
NOTHING = 0.1  # [N]: less than this is rounding, and as much as nothing

Effect = Literal["cured", "better", "the same", "worse", "cannot be told"]
Fits = Literal["fits", "may fit", "does not fit"]
Why = Literal["counted", "counted otherwise", "peak", "no peak", "small", "beyond"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A number as read, and 5 and 95 % of its draws."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Whether one order is what is felt, in the configuration in which it is felt.

    Attributes:
        order, frequency, speed: Once or twice per turn, how often that is [Hz], and at which road
            speed [m/s].
        height: Name of the height at which it was looked at.
        situation: Under which torque; of those that it may be felt under the likelier.
        fits: Whether it is.
        why: Why, or why not.
        places: Where its force is largest: one, or two where it may be either.
        force: Of the first of them within the band of road speed [N], with either kind of ends.
        small: Whether nobody would feel it anywhere; then ``force`` is the largest of all places.
        meeting: The mode that it meets there, or None.
    """

    order: Order
    frequency: float
    speed: float
    height: str
    situation: Situation
    fits: Fits
    why: Why
    places: tuple[str, ...]
    force: Band
    small: bool
    meeting: Meeting | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What another configuration does to one order.

    Attributes:
        order: Once or twice per turn.
        effect: In one word.
        ratio: Force in the one where it is felt over force here, of all places together [-]: with
            rigid ends, and with ends on springs; empty where either has no amplitude there.
        new_path: Whether part of it goes into a bearing that the other does not have.
        small: Whether nobody would feel it in either.
    """

    order: Order
    effect: Effect
    ratio: tuple[Band, ...]
    new_path: bool = False
    small: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Felt:
    """The answer to a complaint."""

    complaint: Complaint
    felt_in: str  # name of the configuration
    fits: tuple[Fit, ...]
    changes: Mapping[str, tuple[Change, ...]]  # by name of every other configuration

    @property
    def may_be(self) -> tuple[Fit, ...]:
        """The orders that may be what is felt, the likeliest first."""
        return tuple(fit for fit in self.fits if fit.fits != "does not fit")


def answer_to(complaint: Complaint, felt_in: str, near: Mapping[str, Sequence[Near]]) -> Felt:
    """Return the answer to a complaint.

    Args:
        complaint: What the driver feels.
        felt_in: Name of the configuration in which.
        near: From ``near_of``, by name of every configuration.

    Returns:
        Every order as far as the scene has its torque, the likeliest first; and what each other
        configuration does to those that may be felt.
    """
    here = sorted(near[felt_in], key=lambda one: _likelihood(_fit(one, complaint), one, complaint))
    likeliest = [one for one in here if one is next(n for n in here if n.order == one.order)]
    fits = [_fit(one, complaint) for one in likeliest]
    asked = [one for one, fit in zip(likeliest, fits, strict=True) if fit.fits != "does not fit"]
    changes = {
        name: tuple(
            _change(one, other)
            for one in asked
            if (other := next((other for other in others if alike(one, other)), None))
        )
        for name, others in near.items()
        if name != felt_in
    }
    return Felt(complaint=complaint, felt_in=felt_in, fits=tuple(fits), changes=changes)


def alike(one: Near | Fit, other: Near) -> bool:
    """Say whether two are of one order under one torque."""
    return (one.order, one.situation) == (other.order, other.situation)


def _likelihood(fit: Fit, near: Near, complaint: Complaint) -> tuple[int, bool, bool, float]:
    """Return what orders are sorted by.

    What fits, what the driver says nothing against, what swells there, then the larger force.
    """
    order = ("fits", "may fit", "does not fit").index(fit.fits)
    against = fit.order == 1 and complaint.when in ("drive", "coast")  # it asks for no torque
    return order, against, _swells(near) < MAY_PEAK, -fit.force.value


def _swells(near: Near) -> float:
    """Return the share of draws in which the force swells at a place [-]."""
    return float(near.peaks.any(axis=2).mean()) if near.peaks.size else 0.0


def _fit(near: Near, complaint: Complaint) -> Fit:
    """Return whether an order is what is felt."""
    swells = _swells(near)
    places = _places(near, swells)
    force, most = _united(near.force[..., places[0]]), _united(near.force.max(axis=2))
    small = not near.beyond and most.high < UNFELT
    fits: Fits
    why: Why
    if complaint.frequency is not None and complaint.speed is not None:
        why = "beyond" if near.beyond else "counted"
        fits = "fits" if complaint.is_at(near.frequency) else "may fit"
        if not complaint.may_be_at(near.frequency):
            fits, why = "does not fit", "counted otherwise"
    elif near.beyond:
        fits, why = "may fit", "beyond"
    elif small:
        fits, why = "does not fit", "small"
    elif swells >= MAY_PEAK:  # unbalance asks for no torque
        same = near.order == 2 or complaint.when in (None, "any")
        fits, why = "fits" if same and swells >= PEAKS else "may fit", "peak"
    else:
        fits, why = "may fit", "no peak"
    return Fit(
        order=near.order,
        frequency=near.frequency,
        speed=near.speed,
        height=near.state.height,
        situation=near.situation,
        fits=fits,
        why=why,
        places=tuple(near.places[place] for place in places),
        force=most if small else force,
        small=small,
        meeting=next(iter(near.meetings), None),
    )


def _places(near: Near, swells: float) -> list[int]:
    """Return the places with most force, in the draws in which it swells if there are some."""
    largest = near.force.argmax(axis=2)
    told = near.peaks.any(axis=2) if swells >= MAY_PEAK else np.ones(largest.shape, bool)
    share = np.bincount(largest[told], minlength=len(near.places)) / told.sum()
    first, second, *_ = np.argsort(-share, kind="stable").tolist()
    return [first, second] if share[second] >= EITHER else [first]


def _change(felt: Near, other: Near) -> Change:
    """Return what another configuration does to an order."""
    new_path = len(other.places) > len(felt.places)
    if felt.beyond or other.beyond:
        return Change(order=felt.order, effect="cannot be told", ratio=(), new_path=new_path)
    bands = ratio_of((felt.whole, felt.kept), (other.whole, other.kept))
    most = max(_united(one.force.max(axis=2)).high for one in (felt, other))
    return Change(
        order=felt.order,
        effect=effect_of(bands),
        ratio=bands,
        new_path=new_path,
        small=most < UNFELT,
    )


def ratio_of(before: tuple[Array, Index], after: tuple[Array, Index]) -> tuple[Band, ...]:
    """Return what a shake was over what it is, with each kind of ends.

    Args:
        before: Forces [N], (2, D), the first draw as read, and the numbers of their draws, (D,).
        after: The same; draws that one of them lacks are left out.
    """
    _, here, there = np.intersect1d(before[1], after[1], return_indices=True)
    was, now = np.maximum(before[0][:, here], NOTHING), np.maximum(after[0][:, there], NOTHING)
    return tuple(_band(kind) for kind in was / now)


def effect_of(ratio: Sequence[Band]) -> Effect:
    """Return what a ratio, before over after, comes to: the truth lies between the kinds of ends.

    Args:
        ratio: With ends rigid, and with ends on springs.
    """
    low, high = min(band.low for band in ratio), max(band.high for band in ratio)
    middle = math.sqrt(low * high)
    if low >= CURED:
        return "cured"
    alike = low >= 1 / SAME and high <= SAME
    if low > 1 and (middle >= BETTER or not alike):
        return "better"
    if high < 1 and (middle <= 1 / BETTER or not alike):
        return "worse"
    return "the same" if alike else "cannot be told"


def _band(draws: Array) -> Band:
    """Return the band of draws (D,), the first one as read."""
    low, high = np.percentile(draws, (5, 95))
    return Band(value=float(draws[0]), low=float(low), high=float(high))


def _united(draws: Array) -> Band:
    """Return the band of draws (2, D) with both kinds of ends: the truth lies between."""
    rigid, springs = (_band(kind) for kind in draws)
    low, high = min(rigid.low, springs.low), max(rigid.high, springs.high)
    return Band(value=max(rigid.value, springs.value), low=low, high=high)
