"""What is run through: every torque case over its whole travel, and into every roll."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index
from sim.motion.motion import Reference, Start
from sim.motion.postures import Postures, postures
from sim.motion.states import State
from sim.scene.parts import Configuration

TRAVEL_NODES = 33  # over the travel of a case: 6 mm apart on a truck
ROLL_NODES = 7  # from level into a roll


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """Nodes along continuous runs; the first one is ride height at rest, by itself."""

    cases: tuple[str, ...]  # names of the torque cases
    case: Index  # number of the torque case of every node, (P,)
    travel: Array  # of every node [m], (P,)
    roll: Array  # of every node [rad], (P,)
    before: Index  # from here everything moves continuously, (I,)
    after: Index  # to there, (I,)
    wheel_torque: Array  # of every case, where it is largest [N m], (C,)
    states: Sequence[State]  # that the runs stand for
    start: Start  # what postures near these may start from


def course_of(states: Sequence[State], start: Start = ()) -> Course:
    """Return the runs that states stand for; start: what designs near by may start from in them.

    A torque case runs from its lowest to its highest travel, level; parked low is part of the case
    that goes there.  A rolled state is entered from level at its own travel.
    """
    cases = tuple(dict.fromkeys(state.case for state in states))
    torque = [max((s.wheel_torque for s in states if s.case == name), key=abs) for name in cases]
    runs: list[tuple[int, Array, Array]] = [(0, np.zeros(1), np.zeros(1))]
    for number, name in enumerate(cases):
        level = [s.travel for s in states if s.case == name and not s.roll]
        if level:
            count = TRAVEL_NODES if max(level) > min(level) else 1
            run = np.linspace(min(level), max(level), count)
            runs.append((number, run, np.zeros(count)))
        for travel, roll in sorted({(s.travel, s.roll) for s in states if s.case == name}):
            if roll:
                into = np.linspace(0.0, roll, ROLL_NODES)
                runs.append((number, np.full(ROLL_NODES, travel), into))
    before, after = _steps([len(run[1]) for run in runs])
    return Course(
        cases=cases,
        case=np.concatenate([np.full(len(run[1]), run[0]) for run in runs]),
        travel=np.concatenate([run[1] for run in runs]),
        roll=np.concatenate([run[2] for run in runs]),
        before=before,
        after=after,
        wheel_torque=np.array(torque),
        states=states,
        start=start,
    )


def _near(course: Course, case: Index, travel: Array) -> Start:
    """Return what postures on a course may start from: between the level states of their case."""
    columns = [np.empty(len(travel)) for _ in course.start]
    for number, name in enumerate(course.cases):
        mine, level = case == number, [s.case == name and not s.roll for s in course.states]
        if not any(level):
            return ()
        at = np.array([s.travel for s in course.states])[level]
        order = np.argsort(at)
        for column, known in zip(columns, course.start, strict=True):
            column[mine] = np.interp(travel[mine], at[order], known[level][order])
    return tuple(columns)


def postures_on(
    configuration: Configuration,
    course: Course,
    case: Index,
    travel: Array,
    roll: Array,
    reference: Reference | None = None,
) -> Postures:
    """Return exact postures anywhere on a course, the output moved as the torque cases say.

    Cases by number, travel [m] and roll [rad] are of shape (S,).

    Raises:
        GeometryError: If the parts cannot reach one of them.
    """
    given = {c.name: c for c in configuration.torque_cases}
    named = [given.get(name) for name in course.cases]
    move = np.array([c.output_move if c else (0.0, 0.0, 0.0) for c in named])
    tip = np.array([c.output_tip if c else 0.0 for c in named])
    return postures(
        configuration,
        travel,
        roll,
        course.wheel_torque[case],
        move[case],
        tip[case],
        reference=reference,
        start=_near(course, case, travel),
    )


def _steps(counts: Sequence[int]) -> tuple[Index, Index]:
    """Return the nodes before and after every step; a run of one node is a step on the spot."""
    before, after, first = [], [], 0
    for count in counts:
        nodes = np.arange(first, first + count)
        before.append(nodes[:-1] if count > 1 else nodes)
        after.append(nodes[1:] if count > 1 else nodes)
        first += count
    return np.concatenate(before), np.concatenate(after)
