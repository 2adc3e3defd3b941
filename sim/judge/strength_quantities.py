"""What rules look at of strength: torque in tubes and joints, life of the joint bearings."""

from __future__ import annotations

import numpy as np

from sim.judge.part import Array, Part, Where
from sim.measure.numbers import Numbers
from sim.measure.ratings import joint_ratings
from sim.measure.torsion import shaft_torques

KM = 1000.0


def tube_torque(n: Numbers) -> list[Part]:
    """Most torque that can reach a shaft [N m], against yield or buckling of its tube."""
    if n.deep is None:
        return []
    return [
        _most(n, Where(kind="shaft", number=number), limit, shaft.tube.yield_stress is not None)
        for number, (shaft, limit) in enumerate(
            zip(n.configuration.shafts, n.deep.yield_torque.T, strict=True), start=1
        )
    ]


def series_torque(n: Numbers) -> list[Part]:
    """Most torque that can reach a joint [N m], against the usual rating of its series."""
    return [
        _most(n, Where(kind="joint", number=rating.joint), rating.torque, own=False)
        for rating in joint_ratings(n.configuration)
        if rating.torque is not None and not rating.own
    ]


def joint_torque_beyond(n: Numbers) -> list[Part]:
    """The same against the joint's own rating, where more can reach it than in any torque case."""
    torques = shaft_torques(n.configuration)
    if torques.most <= torques.case:
        return []
    return [
        _most(n, Where(kind="joint", number=rating.joint), rating.torque, own=True)
        for rating in joint_ratings(n.configuration)
        if rating.torque is not None and rating.own
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


def _most(n: Numbers, where: Where, limit: Array | float | None, own: bool) -> Part:
    """Return the most torque against the limit of a part."""
    torques = shaft_torques(n.configuration)
    assert limit is not None
    return Part(
        where=where,
        values=np.array([[torques.most]]),
        limit=np.atleast_1d(limit)[:, None],
        own=own,
        why=torques.most_name,
    )
