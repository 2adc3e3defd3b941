"""Rows: the numbers of states, of one design or of many designs at once.

Formulas take rows of any shape: (S,) for one design, (S, B) for B designs, whose own numbers are
floats or arrays of shape (B,) and broadcast over the last axis.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.motion.states import State
from sim.scene.parts import Configuration

Array = NDArray[np.float64]
UNMOVED = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rows:
    """Numbers of S states, each of shape (S,) or (S, B).

    Attributes:
        states: The states, as they stand in the first design.
        travel: Mean travel of both wheels [m], bump positive.
        roll: Roll of the axle [rad], right side up positive.
        wheel_torque, shaft_torque: [N m].
        road_speed: [m/s].
        output_move: How the output joint moves on its mounts [m], shape (S, 3) or (S, B, 3).
        output_tip: How the output's slope changes [rad].
    """

    states: tuple[State, ...]
    travel: Array
    roll: Array
    wheel_torque: Array
    shaft_torque: Array
    road_speed: Array
    output_move: Array
    output_tip: Array


def rows_of(configuration: Configuration, states: Sequence[State]) -> Rows:
    """Return the rows of one design, the output moved as the torque cases of its states say.

    Args:
        configuration: Whose states.
        states: The states, S of them.

    Returns:
        Rows of shape (S,).
    """
    cases = {case.name: case for case in configuration.torque_cases}
    mounts = [cases.get(state.case) for state in states]
    return Rows(
        states=tuple(states),
        travel=_column([s.travel for s in states]),
        roll=_column([s.roll for s in states]),
        wheel_torque=_column([s.wheel_torque for s in states]),
        shaft_torque=_column([s.shaft_torque for s in states]),
        road_speed=_column([s.road_speed for s in states]),
        output_move=np.array([UNMOVED if c is None else c.output_move for c in mounts], float),
        output_tip=_column([0.0 if c is None else c.output_tip for c in mounts]),
    )


def _column(values: Sequence[float]) -> Array:
    """Return one number of every state, (S,)."""
    return np.array(values, float)
