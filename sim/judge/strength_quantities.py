"""What rules look at of strength: torque in tubes and joints, life of the joint bearings."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from sim.judge.part import Array, Part, Where
from sim.measure.numbers import Numbers
from sim.measure.sizing import JointRating, Sizing, joint_ratings, next_series, sizing_torques
from sim.measure.torsion import shaft_torques
from sim.units import DISTANCE, factor

KM = factor(DISTANCE, "km")


def tube_torque(n: Numbers) -> list[Part]:
    """Lesser of low gear and wheel slip [N m], against yield or buckling of each tube.

    Where neither is known, the largest torque of the torque cases.
    """
    sizing = sizing_torques(n.configuration)
    if sizing.lesser is None:
        most = shaft_torques(n.configuration)
        return _tubes(n, most.case, most.case_name, sized=True)
    return _tubes(n, sizing.lesser, _why(sizing, sizing.lesser), sized=True)


def peak_of_tubes(n: Numbers) -> list[Part]:
    """Most torque that can reach a shaft [N m], against yield or buckling of its tube."""
    if n.deep is None:
        return []
    torques = shaft_torques(n.configuration)
    return _tubes(n, torques.most, torques.most_name, sized=False)


def sizing_of_rated(n: Numbers) -> list[Part]:
    """Lesser of low gear and wheel slip [N m], against the rating of each joint's own sheet."""
    lesser = sizing_torques(n.configuration).lesser
    return [_sized(n, rating, lesser) for rating in _ratings(n) if rating.own]


def sizing_by_series(n: Numbers) -> list[Part]:
    """Torque at most one series below low gear [N m], against the rating of joint or series.

    What series stand for is from memory, so this is nothing that a joint's own sheet could break.
    """
    road = sizing_torques(n.configuration).road
    sized = (_sized(n, rating, road) for rating in _ratings(n) if _has_series(n, rating))
    return [replace(part, own=False) for part in sized]


def peak_of_joints(n: Numbers) -> list[Part]:
    """Most torque that can reach a joint [N m], against its rating or that of its series."""
    ratings = _ratings(n)
    if not ratings:
        return []
    torques = shaft_torques(n.configuration)
    return [
        Part(
            where=Where(kind="joint", number=rating.joint),
            values=_column(torques.most),
            limit=_column(rating.torque),
            why=torques.most_name,
        )
        for rating in ratings
    ]


def joint_life(n: Numbers) -> list[Part]:
    """Distance that nine of ten joint bearings outlive under the duty [km]."""
    if n.deep is None:
        return []
    return [
        Part(where=Where(kind="joint", number=number), values=(distance / KM)[:, None])
        for number, distance in enumerate(n.deep.life_distance.T, start=1)
        if np.isfinite(distance).any()
    ]


def _ratings(n: Numbers) -> list[JointRating]:
    """Return the joints that are rated, by their own sheet or by their series."""
    if sizing_torques(n.configuration).road is None:
        return []
    return [rating for rating in joint_ratings(n.configuration) if rating.torque is not None]


def _sized(n: Numbers, rating: JointRating, torque: Any) -> Part:
    """Return a torque that sizes a joint, against its rating."""
    sizing = sizing_torques(n.configuration)
    return Part(
        where=Where(kind="joint", number=rating.joint),
        values=_column(torque),
        limit=_column(rating.torque),
        own=rating.own,
        why=_why(sizing, torque),
        remedy=_proposal(n, float(_column(sizing.road)[0, 0])) if _has_series(n, rating) else "",
    )


def _has_series(n: Numbers, rating: JointRating) -> bool:
    """Say whether a joint is one that series are told of: a plain universal joint."""
    return n.configuration.joints[rating.joint - 1].of_kind.crosses == 1


def _why(sizing: Sizing, torque: Any) -> str:
    """Return which torque one that sizes shafts is, in the first design."""
    low, slip, found = (
        None if each is None else float(np.ravel(each)[0])
        for each in (sizing.low_gear, sizing.wheel_slip, torque)
    )
    if found == slip:
        load = "capacity" if sizing.by_capacity else "largest load, its capacity is not given"
        return f"wheel slip on the axle's {load}"
    return "low gear, full engine torque" if found == low else "one series below low gear torque"


def _proposal(n: Numbers, torque: float) -> str:
    """Return the series that would do, at most a dozen words; "" where that says nothing new."""
    found = next_series(torque)
    if found is None or found == n.configuration.series:
        return ""
    return f"Fit series {found} or stronger, or hold the torque down."


def _tubes(n: Numbers, torque: Any, why: str, sized: bool) -> list[Part]:
    """Return a torque in all shafts, against what each tube carries; what sizes them may fail."""
    if n.deep is None:
        return []
    return [
        Part(
            where=Where(kind="shaft", number=number),
            values=_column(torque),
            limit=_column(limit),
            own=sized and shaft.tube.yield_stress is not None,
            why=why,
        )
        for number, (shaft, limit) in enumerate(
            zip(n.configuration.shafts, n.deep.yield_torque.T, strict=True), start=1
        )
    ]


def _column(value: Any) -> Array:
    """Return a number of the designs as a column, (B, 1) or (1, 1)."""
    return np.atleast_1d(np.asarray(value, float))[:, None]
