"""Rows: the numbers of states, of one design or of many designs at once.

Formulas take rows of any shape: (S,) for one design, (S, B) for B designs, whose own numbers are
floats or arrays of shape (B,) and broadcast over the last axis.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.arrays import Array
from sim.motion.frames import vector
from sim.motion.states import State
from sim.motion.sweep import (
    RIDE_HEIGHT,
    load_at,
    named_heights,
    road_speed,
    roll_at,
    speed_over_travel,
)
from sim.motion.torque import TorqueLoad, torque_loads
from sim.scene.parts import Configuration, Height, LeafSprings

UNMOVED = (0.0, 0.0, 0.0)
# a height, its mean travel [m], its roll [rad] and the speed that it allows [m/s]
_Stand = tuple[Height, Any, Any, Any]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rows:
    """Numbers of S states: each (S,), or of B designs (S, B), or (S, 1) if all share it."""

    states: tuple[State, ...]  # as they stand in the design that they belong to
    travel: Array  # mean travel of both wheels [m], bump positive; never (S, 1) of many designs
    roll: Array  # roll of the axle [rad], right side up positive
    wheel_torque: Array  # [N m]
    shaft_torque: Array  # [N m]
    road_speed: Array  # [m/s]
    excess: Array  # load on one leaf spring beyond what its rate says at that height [N]
    output_move: Array  # how the output joint moves on its mounts [m], (..., 3)
    output_tip: Array  # how the output's slope changes [rad]


def rows_of(configuration: Configuration, states: Sequence[State]) -> Rows:
    """Return the rows (S,) of one design, the output moved as the cases of its states say."""
    return _rows(configuration, tuple(states), states, (len(states),))


def rows_of_designs(
    configuration: Configuration, states: Sequence[State], read: Configuration, count: int
) -> Rows:
    """Return the rows of many designs in the states of another one.

    A named height stands where its own design has it; one without a name stays at its share of
    droop or bump. Torques and road speeds are those of each design. The states belong to the design
    ``read``; rows are (S, B), B the count.
    """
    place = _Places(configuration, read)
    at = [place.of(state) for state in states]
    rows = _rows(configuration, tuple(states), at, (len(states), -1))
    return replace(rows, travel=np.broadcast_to(rows.travel, (len(states), count)))


def _rows(
    configuration: Configuration,
    states: tuple[State, ...],
    at: Sequence[State],
    shape: tuple[int, ...],
) -> Rows:
    """Return the rows of states whose numbers are floats, or arrays of shape (B,)."""
    cases = {case.name: case for case in configuration.torque_cases}
    mounts = [cases.get(state.case) for state in states]
    moves = [UNMOVED if case is None else case.output_move for case in mounts]

    def column(values: Iterable[Any]) -> Array:
        numbers = list(values)
        widest = max((getattr(number, "size", 1) for number in numbers), default=1)
        rows = np.empty((len(numbers), widest))
        for row, number in enumerate(numbers):
            rows[row] = number
        return rows.reshape(shape)

    return Rows(
        states=states,
        travel=column(s.travel for s in at),
        roll=column(s.roll for s in at),
        wheel_torque=column(s.wheel_torque for s in at),
        shaft_torque=column(s.shaft_torque for s in at),
        road_speed=column(s.road_speed for s in at),
        excess=column(_excess(configuration, s) for s in at),
        output_move=vector(*(column(way) for way in zip(*moves, strict=True))),
        output_tip=column(0.0 if case is None else case.output_tip for case in mounts),
    )


def _excess(configuration: Configuration, state: State) -> Any:
    """Return what one leaf spring carries beyond what its rate says at that height [N]."""
    springs, ride = configuration.suspension, configuration.vehicle.axle_load
    if state.axle_load is None or ride is None or not isinstance(springs, LeafSprings):
        return 0.0
    return (state.axle_load - ride) / 2 - springs.rate * state.travel


class _Places:
    """Where states of one design stand in others; numbers are floats or arrays."""

    def __init__(self, configuration: Configuration, read: Configuration) -> None:
        self.configuration, self.read = configuration, read
        self.level = {h.name for h in named_heights(read) if h.left == h.right}
        self.heights = {height.name: height for height in named_heights(configuration)}
        self.cases = {case.name: n for n, case in enumerate(configuration.torque_cases)}
        self.loads: dict[str, tuple[TorqueLoad, ...]] = {}
        self.stands: dict[tuple[str, float, float, bool], _Stand] = {}

    def of(self, state: State) -> State:
        """Return a state as it stands there."""
        at = state.height, state.travel, state.roll, state.turning
        if at not in self.stands:
            self.stands[at] = self._stand(state)
        height, travel, roll, over_travel = self.stands[at]
        if state.case not in self.cases:
            return replace(state, travel=travel)
        load = self._loads(height)[self.cases[state.case]]
        return replace(
            state,
            travel=travel,
            roll=roll,
            wheel_torque=load.wheel_torque,
            shaft_torque=load.shaft_torque,
            road_speed=road_speed(load, over_travel) if height.turning else 0.0,
            axle_load=height.axle_load,
        )

    def _stand(self, state: State) -> _Stand:
        """Return where a state stands there, whatever its torque."""
        height = self.heights.get(state.height)
        if height is None or (state.roll and state.height in self.level):
            height = _between(self.configuration, self.read, state)
        return (
            height,
            (height.left + height.right) / 2,
            roll_at(self.configuration, height),
            speed_over_travel(self.configuration, height),
        )

    def _loads(self, height: Height) -> tuple[TorqueLoad, ...]:
        """Return the torques at a height; those of all heights without a load are alike."""
        name = "" if height.axle_load is None and height is not RIDE_HEIGHT else height.name
        if name not in self.loads:
            self.loads[name] = torque_loads(self.configuration, load_at(self.configuration, height))
        return self.loads[name]


def _between(configuration: Configuration, read: Configuration, state: State) -> Height:
    """Return a height without a name of its own, at its share of the travel."""
    middle: Any = state.travel
    if configuration.travel is not None and read.travel is not None:
        up = state.travel > 0
        whole = read.travel.bump if up else read.travel.droop
        now = configuration.travel.bump if up else configuration.travel.droop
        middle = np.where(now == whole, middle, middle * now / whole) if whole else middle
    track = configuration.vehicle.track
    rise = 0.0 if track is None else track / 2 * np.sin(state.roll)
    return Height(name=state.height, left=middle - rise, right=middle + rise, turning=state.turning)
