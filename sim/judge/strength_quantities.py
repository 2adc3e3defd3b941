"""What rules look at of strength: torque in tubes and joints, life of the joint bearings."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sim.judge.part import Part, States
from sim.measure.measurements import Measurements
from sim.motion.states import State

HOUR = 3600.0


def tube_torque(m: Measurements, chosen: States) -> list[Part]:
    """Most torque that can reach a shaft [N m], against yield or buckling of its tube."""
    return [
        _most(
            m, f"shaft {tube.shaft}", min(tube.yield_torque, tube.buckling_torque), tube.certified
        )
        for tube in m.strength.tubes
    ]


def series_torque(m: Measurements, chosen: States) -> list[Part]:
    """Most torque that can reach a joint [N m], against the usual rating of its series."""
    return [
        _most(m, f"joint {rating.joint}", rating.torque, own=False)
        for rating in m.strength.ratings
        if rating.torque is not None and not rating.own
    ]


def joint_torque_beyond(m: Measurements, chosen: States) -> list[Part]:
    """The same against the joint's own rating, where more can reach it than in any torque case."""
    torques = m.strength.torques
    if torques.most <= torques.case:
        return []
    return [
        _most(m, f"joint {rating.joint}", rating.torque, own=True)
        for rating in m.strength.ratings
        if rating.torque is not None and rating.own
    ]


def joint_life(m: Measurements, chosen: States) -> list[Part]:
    """Life of the joint bearings [h] that nine of ten outlive, under the duty."""
    return [
        Part(where=f"joint {life.joint}", values=np.array([life.life / HOUR]), states=(None,))
        for life in m.strength.lives.lives
        if life.life is not None
    ]


def _most(m: Measurements, where: str, limit: float, own: bool) -> Part:
    """Return the most torque against the limit of a part."""
    torques = m.strength.torques
    return Part(
        where=where,
        values=np.array([torques.most]),
        states=(_under(m, torques.most_name),),
        limit=limit,
        own=own,
    )


def _under(m: Measurements, case: str) -> State | None:
    """Return ride height in a torque case; None for a torque that is no case of the scene."""
    found = (s for s in m.states if s.height == "ride height" and s.case == case)
    return next(found, None)


QUANTITIES: dict[str, Callable[[Measurements, States], list[Part]]] = {
    "tube torque": tube_torque,
    "series torque": series_torque,
    "joint torque beyond the cases": joint_torque_beyond,
    "joint life": joint_life,
}
