"""The holes of a brace's foot against a drilling guide.

Places on a rail are (station, height above its bottom edge) [m], as ``foot_holes`` gives them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sim.arrays import Array, Marks
from sim.judge.drilling import Guide
from sim.scene.parts import Foot, Hole, Rail
from sim.units import INCH

Asked = Literal["edge", "flange", "pitch", "largest", "over the bolt", "in one line"]

ON = 0.001  # holes nearer than this [m] are one; a bolt's play, common practice, no source
_EXACT = 1e-9  # below what two sums of the same readings differ by [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """What one rule of a guide says of one hole.

    Attributes:
        asked: What is asked.
        value: What there is [m], or how many holes [-].
        limit: What the guide asks [m], [-].
        kept: Whether it is kept.
        to: What the distance is to, as in "bottom flange", "hole 2" or the name of an old hole.
    """

    asked: Asked
    value: float
    limit: float
    kept: bool
    to: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drilled:
    """One hole of a foot on one rail.

    Attributes:
        number: From the front, the upper row first.
        aft: Station [m].
        up: Above the rail's bottom edge [m].
        uses: Name of the old hole that it falls on, which serves as it is; "" for a new hole.
        checks: What the guide asks of it; empty for an old hole.
    """

    number: int
    aft: float
    up: float
    uses: str
    checks: tuple[Check, ...]

    @property
    def broken(self) -> tuple[Check, ...]:
        """What of the guide it breaks."""
        return tuple(check for check in self.checks if not check.kept)


def drilled(rail: Rail, foot: Foot, places: Array, guide: Guide) -> tuple[Drilled, ...]:
    """Return each hole of a foot with what the guide says of it.

    Args:
        rail: The rail.
        foot: The foot.
        places: Of its holes [m], (H, 2).
        guide: The guide.
    """
    used = used_holes(rail, foot, places)
    asked = _asked(rail, foot, places, used, guide)
    return tuple(
        Drilled(
            number=h + 1,
            aft=float(aft),
            up=float(up),
            uses=next((o.name for o, on in zip(rail.holes, used[h], strict=True) if on), ""),
            checks=() if used[h].any() else tuple(_check(rule, h) for rule in asked),
        )
        for h, (aft, up) in enumerate(places)
    )


def keeps(rail: Rail, foot: Foot, places: Array, guide: Guide) -> Marks:
    """Return whether all holes of feet (K, H, 2) keep the guide, (K,)."""
    used = used_holes(rail, foot, places)
    on_old = used.any(axis=-1)
    kept = np.ones(places.shape[:-1], dtype=bool)
    for rule in _asked(rail, foot, places, used, guide):
        kept &= on_old | rule.kept
    return np.asarray(kept.all(axis=-1))


# --- what a guide asks, of holes in arrays (..., H) -----------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rule:
    """One rule on many holes; ``index`` says which of ``names`` each distance is to."""

    asked: Asked
    value: Array
    limit: Array
    kept: Marks
    names: tuple[str, ...] = ("",)
    index: Array | None = None


def _check(rule: _Rule, hole: int) -> Check:
    """Return what a rule says of one hole."""
    return Check(
        asked=rule.asked,
        value=float(rule.value[hole]),
        limit=float(rule.limit[hole]),
        kept=bool(rule.kept[hole]),
        to=rule.names[0 if rule.index is None else int(rule.index[hole])],
    )


def _asked(rail: Rail, foot: Foot, places: Array, used: Marks, guide: Guide) -> list[_Rule]:
    """Return what a guide asks of holes, in the order in which it is told."""
    size = np.full(places.shape[:-1], foot.hole)
    rules = [_edge(rail, size, places, guide)]
    if guide.pitch is not None:
        rules.append(_pitch(rail, foot, places, used, guide))
    if guide.in_line is not None:
        rules.append(_in_line(rail, foot, places, used, guide.in_line))
    if guide.largest is not None:
        rules.append(_most("largest", size, guide.largest))
    bolt = bolt_diameter(foot.bolt)
    if guide.over_bolt is not None and bolt is not None:
        rules.append(_most("over the bolt", size - bolt, guide.over_bolt))
    return rules


def _most(asked: Asked, value: Array, limit: float) -> _Rule:
    """Return a rule that a value may at most come to a limit."""
    limits = np.full(value.shape, limit)
    return _Rule(asked=asked, value=value, limit=limits, kept=value <= limits + _EXACT)


def _edge(rail: Rail, size: Array, places: Array, guide: Guide) -> _Rule:
    """Return the distance to the nearer flange; where the guide gives none, it must not be cut."""
    up = places[..., 1]
    value = np.minimum(up, rail.height - up)
    if guide.edge is None or guide.edge_to == "inside of the flange":
        value = value - rail.wall
    if guide.edge is None or guide.edge_from == "hole edge":
        value = value - size / 2
    limit = np.full(value.shape, guide.edge or 0.0)
    return _Rule(
        asked="flange" if guide.edge is None else "edge",
        value=value,
        limit=limit,
        kept=value >= limit - _EXACT,
        names=("bottom flange", "top flange"),
        index=np.asarray(up > rail.height / 2 + _EXACT, dtype=int),
    )


def _pitch(rail: Rail, foot: Foot, places: Array, used: Marks, guide: Guide) -> _Rule:
    """Return the distance to the hole that is nearest to its limit."""
    apart, sizes, names = _others(rail, foot, places, used)
    largest = np.maximum(sizes, foot.hole)
    limits = np.full(sizes.shape, guide.pitch)
    if guide.pitch_up_to is not None and guide.pitch_beyond is not None:
        beyond = largest > guide.pitch_up_to + _EXACT
        limits = np.where(beyond, guide.pitch_beyond * largest, limits)
    far = np.hypot(apart[..., 0], apart[..., 1])
    if guide.pitch_between == "hole edges":
        far = far - (sizes + foot.hole) / 2
    room = far - limits
    nearest = np.argmin(room, axis=-1)
    value = np.take_along_axis(far, nearest[..., None], axis=-1)[..., 0]
    limit = limits[nearest]
    kept = np.isinf(value) | (value >= limit - _EXACT)
    return _Rule(asked="pitch", value=value, limit=limit, kept=kept, names=names, index=nearest)


def _in_line(rail: Rail, foot: Foot, places: Array, used: Marks, most: int) -> _Rule:
    """Return how many holes stand in one vertical line with each: those that overlap its width."""
    apart, sizes, _ = _others(rail, foot, places, used)
    over = np.abs(apart[..., 0]) < (sizes + foot.hole) / 2 - _EXACT
    return _most("in one line", 1.0 + over.sum(axis=-1), most)


def _others(
    rail: Rail, foot: Foot, places: Array, used: Marks
) -> tuple[Array, Array, tuple[str, ...]]:
    """Return ways from each hole to all others [m], (..., H, O, 2), their sizes and names, (O,).

    The hole itself is infinitely far, and so is an old hole that serves as one of the foot's.
    """
    count = places.shape[-2]
    old = np.array([(hole.aft, hole.up) for hole in rail.holes]).reshape(-1, 2)
    new = places[..., None, :, :] - places[..., :, None, :]
    new = np.where(np.eye(count, dtype=bool)[:, :, None], np.inf, new)
    serves = np.asarray(used.any(axis=-2))[..., None, :, None]
    there = np.where(serves, np.inf, old - places[..., :, None, :])
    sizes = np.array([foot.hole] * count + [hole.diameter for hole in rail.holes])
    names = (*(f"hole {h + 1}" for h in range(count)), *(hole.name for hole in rail.holes))
    return np.concatenate((new, there), axis=-2), sizes, names


def used_holes(rail: Rail, foot: Foot, places: Array) -> Marks:
    """Return which old holes serve as holes of a foot, (..., H, O)."""
    old = np.array([(hole.aft, hole.up) for hole in rail.holes]).reshape(-1, 2)
    far = np.linalg.norm(old - places[..., :, None, :], axis=-1)
    fitting: Marks = np.array([fits(foot, hole) for hole in rail.holes], dtype=bool)
    return np.asarray(far <= ON + _EXACT) & fitting


def fits(foot: Foot, old: Hole) -> bool:
    """Return whether an old hole takes the bolt of a foot without more play than 1 mm."""
    least = bolt_diameter(foot.bolt) or foot.hole - ON
    return least <= old.diameter + _EXACT and old.diameter <= foot.hole + ON + _EXACT


def bolt_diameter(bolt: str | None) -> float | None:
    """Return the diameter of a bolt by its thread, as in "M12" or "1/2-13" [m], or None."""
    metric = re.match(r"M(\d+)", bolt or "")
    inch = re.match(r"(\d+)/(\d+)", bolt or "")
    if metric:
        return int(metric[1]) / 1000
    return int(inch[1]) / int(inch[2]) * INCH if inch else None
