r"""How hard the joints shake what they meet: bearings in their rubber, tubes that bend.

A joint shakes twice per turn, so it meets a mode at half of its frequency, where the steady force
is largest.  Ends are rigid: forces are what the shafts hand to gearbox and axle.  What passes
through quickly, as at launch, builds up less: these are upper bounds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import tau
from typing import Any

import numpy as np

from sim.arrays import Array, Marks
from sim.measure.numbers import Numbers
from sim.measure.shake.couples import joint_waves, polar_inertia
from sim.measure.shake.loads import CoupleLoads, couple_loads, cruising
from sim.measure.shake.response import longest, shaken, support_forces
from sim.measure.shake.row import Row, row_of, with_stub
from sim.measure.shake.unknown import UNKNOWNS, levers_of, supports_of
from sim.measure.whirl.whirl import bearing_modes, row_modes, shaft_speeds
from sim.motion.road_load import cruise_share
from sim.scene.parts import Configuration

LAUNCH = ("pull-away", "hard launch")
USUAL = {one.name: np.array([one.usual]) for one in UNKNOWNS}
TUBE = next(one for one in UNKNOWNS if one.name == "tube loss")
BAND = (0.95, 0.05)  # of the way from least to most: the band that shakes are told with
TUBE_LOSSES = (TUBE.usual, *(TUBE.least + share * (TUBE.most - TUBE.least) for share in BAND))
AHEAD = np.array([1.0, 0.0, 0.0])
UNFELT = 10.0  # [N], below which nobody feels a shake; our choice
NEAR = 0.10  # share of a mode's speed either side of it at which it is met; our choice


def bounce_peaks(numbers: Numbers, axis: Array, sound: Marks) -> tuple[Array, Array, Array]:
    """Return how hard every bearing is shaken where the joints meet its bounce at launch.

    Args:
        numbers: Of B designs in S states.
        axis: Unit axes of all members in them, pointing aft, (B, S, M, 3).
        sound: Where numbers and axes mean anything, (B, S).

    Returns:
        Road speed there [m/s], force into the bracket [N] and swing of the bearing in its rubber
        [m], both amplitudes; each (B, S, N − 1), 0 where nothing is launched or sound.
    """
    built = numbers.configuration
    speed, force, swing = np.zeros((3, *numbers.lost.shape, len(built.bearings)))
    states = [s for s, state in enumerate(numbers.states) if state.situation in LAUNCH]
    for at in _together(numbers, states if built.bearings else []):
        posture = _Posture.of(numbers, axis, sound, at)
        mode = bearing_modes(row_modes(posture.built, posture.length))
        loads = posture.loads()
        sizes = numbers.shaft_torque[at][:, None, None, None] * loads.by_torque[:, None]
        sizes = sizes + (mode / 2)[..., None, None] ** 2 * loads.by_speed[:, None]
        there = posture.forces(loads, sizes, mode, TUBE.usual)
        speed[at] = road_speed_at(built, mode / 2)
        force[at] = np.diagonal(there[..., 1:-1], axis1=1, axis2=2)
    rubber = [np.asarray(bearing.radial)[..., None] for bearing in built.bearings]
    for number, rate in enumerate(rubber):
        swing[..., number] = force[..., number] / (rate * np.hypot(1, USUAL["rubber loss"]))
    known = sound[..., None] & np.isfinite(swing)
    return np.where(known, speed, 0.0), np.where(known, force, 0.0), np.where(known, swing, 0.0)


def road_speed_at(built: Configuration, turning: Array) -> Array:
    """Return the road speed [m/s] at shaft speeds of B designs [rad/s], (B, V)."""
    per_turn = np.asarray(built.vehicle.tire_circumference) / built.vehicle.axle_ratio
    return np.asarray(turning / tau * np.reshape(per_turn, (-1, 1)))


def in_reach(built: Configuration, half: Array) -> Marks:
    """Return which half critical road speeds (B, N) [m/s] are met below top speed, or nearly."""
    top = np.reshape(built.vehicle.top_speed, (-1, 1))
    return np.asarray((1 - NEAR) * half <= top)


def half_critical_forces(numbers: Numbers, axis: Array, sound: Marks, critical: Array) -> Array:
    """Return what the joints hand on as they shake every tube at half of its critical speed.

    Cruising at ride height at that speed.

    Args:
        numbers: Of B designs in S states.
        axis: Unit axes of all members in them, pointing aft, (B, S, M, 3).
        sound: Where numbers and axes mean anything, (B, S).
        critical: Critical speed of every shaft [rad/s], (B, N).

    Returns:
        Amplitude at every place by what the tube loses, as usual, much, little [N], (B, 3, N, P);
        0 where there is no such state, or no design comes so fast.
    """
    built, count = numbers.configuration, len(numbers.configuration.shafts)
    found = np.zeros((len(numbers.lost), len(TUBE_LOSSES), count, count + 1))
    first = {state.situation: s for s, state in reversed([*enumerate(numbers.states)])}
    reached = in_reach(built, road_speed_at(built, critical / 2)).any()
    if not reached or not {"ride height", "cruise"} <= first.keys():
        return found
    still, moving = first["ride height"], first["cruise"]
    both = sound & sound[:, still, None] & sound[:, moving, None]
    idle, posture = (_Posture.of(numbers, axis, both, (slice(None), at)) for at in (still, moving))
    mode = shaft_speeds(row_modes(posture.built, posture.length))
    share = cruise_share(built, road_speed_at(built, mode / 2))
    loads = posture.loads()
    per_torque, per_speed = cruising(loads, idle.loads(), share)
    torque = numbers.shaft_torque[:, moving][:, None] * share
    sizes = torque[..., None, None] * per_torque
    sizes = sizes + (mode / 2)[..., None, None] ** 2 * per_speed
    for k, loss in enumerate(TUBE_LOSSES):
        found[:, k] = posture.forces(loads, sizes, mode, loss)
    known = both[:, moving, None, None, None] & np.isfinite(found)
    return np.where(known, found, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class _Posture:
    """Rows of shafts as they stand, with what cannot be replaced by what can."""

    built: Configuration
    axis: Array  # (B, M, 3)
    length: Array  # (B, N)
    row: Row

    @classmethod
    def of(cls, numbers: Numbers, axis: Array, sound: Marks, at: Any) -> _Posture:
        """Return the rows of an index of designs and states."""
        good = sound[at]
        axes = np.where(good[:, None, None], axis[at], AHEAD)
        length = np.where(good[:, None], numbers.length[at], 1.0)
        built = with_stub(numbers.configuration, np.where(good, numbers.slip[at], 0.0))
        return cls(built, axes, length, row_of(built, length))

    def loads(self) -> CoupleLoads:
        """Return how the joints load the shafts."""
        waves = joint_waves(self.built, self.axis, polar_inertia(self.built, self.length))
        return couple_loads(self.row, waves, levers_of(self.built))

    def forces(self, loads: CoupleLoads, sizes: Any, mode: Array, loss: float) -> Array:
        """Return the force into every place where twice per turn meets a mode [N], (B, V, P).

        Sizes of the loads (B, V, C, 2).
        """
        free = shaken(self.row, loads.pattern, mode, loss)
        moved = np.einsum("bvpc,bvci->bvpi", free.moved, sizes)
        alike, _ = supports_of(self.built, USUAL, rigid=True)  # in both planes
        force = support_forces(free, moved, alike, mode)
        return longest(force[..., 0], force[..., 1])


def _together(numbers: Numbers, states: list[int]) -> Iterator[Any]:
    """Yield indices of rows that are worked on at once: a design's states, a state's designs."""
    if len(numbers.lost) == 1:
        yield from [(0, states)] if states else []
    else:
        yield from ((slice(None), s) for s in states)
