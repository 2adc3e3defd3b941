"""What one configuration hands to gearbox, bearings and axle over road speed, and how sure.

Every reading is drawn as in ``sampling``, and all that nobody measures evenly between its bounds;
both are named, so configurations of one scene share their draws, and their ratio is known better
than either force.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import tau
from typing import Any, Literal

import numpy as np

from sim.arrays import Array, Index
from sim.explore.shaken_draws import Draws, draws_of
from sim.measure.balance import permissible_unbalance
from sim.measure.shake.couples import JointWaves, joint_waves, polar_inertia
from sim.measure.shake.loads import couple_loads, cruising, turning_loads
from sim.measure.shake.response import longest, shaken, support_forces
from sim.measure.shake.row import Row, row_of, with_stub
from sim.measure.shake.torsion import uneven_torque
from sim.measure.shake.unknown import levers_of, supports_of
from sim.measure.whirl.crossings import road_speed
from sim.measure.whirl.whirl import bearing_modes, row_modes, shaft_speeds
from sim.motion.road_load import cruise_share
from sim.motion.states import Situation, State
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration

DRAWS = 200  # beside the one with every reading as read and everything else as usual
CRITICAL_SHARE = 0.85  # of the lowest tube mode, beyond which order 1 has no amplitude
LAUNCH = (5 / 3.6, 50 / 3.6)  # road speeds of launch shudder [m/s]; our choice
STEP = 0.5 / 3.6  # between road speeds [m/s]

Order = Literal[1, 2]
STILL: tuple[Situation, ...] = ("ride height", "loaded")
FREE = ("cruise", "overrun")  # over all road speeds of their state
UNDER_TORQUE: tuple[Situation, ...] = ("cruise", "overrun", "pull-away", "hard launch")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """Forces of one order in one state over road speed; D draws, the first one as read.

    Attributes:
        state: Height and torque case; in cruise the torque is that of each road speed.
        order: Once or twice per turn of the shafts.
        speed: Road speeds [m/s], (V,).
        force: Amplitude at every place [N], ends rigid and on springs, (2, D, V, P); of order 1
            that of unbalance and bow in phases that nobody knows, as root of squares.
        worst: The same in the worst of all phases; of order 2 it is ``force``.
        given: How far every bearing swings in its rubber [m], (2, D, V, P − 2).
        twist: Torque that swings twice per turn in every shaft [N m], (D, V, N); None of order 1,
            and where the scene has no [torsion].
    """

    state: State
    order: Order
    speed: Array
    force: Array
    worst: Array
    given: Array
    twist: Array | None = None

    @property
    def whole(self) -> Array:
        """All places together, as root of squares [N], (2, D, V)."""
        return np.asarray(np.sqrt((self.force**2).sum(axis=-1)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shake:
    """What one configuration hands on; D draws, the first one as read."""

    configuration: Configuration
    courses: tuple[Course, ...]
    kept: Index  # numbers of the draws that its parts can reach, 0 as read, (D,)
    tube_mode: Array  # own mode of every tube, bearings in their rubber [rad/s], (D, N)
    bounce: Array  # bounce of every bearing on its rubber [rad/s], (D, N − 1)

    @property
    def places(self) -> tuple[str, ...]:
        """Names of the places, from the front."""
        return places_of(self.configuration)

    def course(self, height: str, situation: Situation, order: Order) -> Course | None:
        """Return the forces of an order at a height, or None where there is no such state."""
        for course in self.courses:
            state = course.state
            if (state.height, state.situation, course.order) == (height, situation, order):
                return course
        return None


def places_of(configuration: Configuration) -> tuple[str, ...]:
    """Return the names of what holds the shafts, from the front."""
    count = len(configuration.bearings)
    bearings = ["bearing"] if count == 1 else [f"bearing {n + 1}" for n in range(count)]
    return ("output", *bearings, "pinion")


def shake_of(
    configuration: Configuration,
    speeds: Array | None = None,
    heights: Sequence[str] | None = None,
    situations: Sequence[Situation] = UNDER_TORQUE,
    draws: int = DRAWS,
    drawn: Draws | None = None,
    orders: Mapping[Situation, Collection[Order]] | None = None,
) -> Shake:
    """Return what a configuration hands on, as read and in draws of all that is not known.

    Args:
        configuration: As it was read.
        speeds: Road speeds to look at [m/s], (V,); left out, all that a state reaches.
        heights: Names of the heights to look at; left out, ride height and all loaded ones.
        situations: Which torque cases to look at.
        draws: How many draws there are beside the one as read.
        drawn: The draws in ``shake_states``, where they are at hand.
        orders: Which orders to look at under each torque; left out, all there are.

    Returns:
        Forces of both orders; draws that the parts cannot reach are left out.

    Raises:
        GeometryError: If the parts cannot reach a state as read.
    """
    states = shake_states(configuration, heights, situations)
    drawn = drawn or draws_of(configuration, states, draws)
    still = {state.height: state for state in states if state.situation in STILL}
    modes = row_modes(drawn.configuration, drawn.length[drawn.at(states[0])])
    tube = shaft_speeds(modes)
    courses = [
        course
        for state in states
        if state.situation not in STILL
        for course in _courses(
            drawn,
            state,
            still[state.height],
            tube,
            speeds,
            (1, 2) if orders is None else orders[state.situation],
        )
    ]
    return Shake(
        configuration=configuration,
        courses=tuple(courses),
        kept=drawn.kept,
        tube_mode=tube,
        bounce=bearing_modes(modes),
    )


def shake_states(
    configuration: Configuration,
    heights: Sequence[str] | None = None,
    situations: Sequence[Situation] = UNDER_TORQUE,
) -> tuple[State, ...]:
    """Return the states in which a shake is felt, and those without torque at the same heights."""
    return tuple(
        state
        for state in sweep_states(configuration, 0)
        if state.situation in (*STILL, *situations)
        and not state.roll
        and (heights is None or state.height in heights)
    )


def _courses(
    drawn: Draws,
    state: State,
    still: State,
    tube: Array,
    speeds: Array | None,
    orders: Collection[Order],
) -> Iterator[Course]:
    """Yield the forces in a state: of both orders in cruise, else of the joints alone."""
    at = drawn.at(state)
    row = row_of(with_stub(drawn.configuration, drawn.slip[at]), drawn.length[at])
    low, high = (STEP, state.road_speed) if state.situation in FREE else LAUNCH
    if state.situation == "cruise" and 1 in orders:
        critical = road_speed(drawn.read.vehicle, float(tube[0].min()))
        over = _over(speeds, low, min(high, CRITICAL_SHARE * critical))
        if len(over):
            yield _once_per_turn(drawn, state, row, over)
    over = _over(speeds, low, high)
    if len(over) and 2 in orders:
        yield _twice_per_turn(drawn, state, still, row, over)


def _over(speeds: Array | None, low: float, high: float) -> Array:
    """Return road speeds between two [m/s]."""
    if speeds is None:
        return np.arange(np.ceil(low / STEP), np.floor(high / STEP) + 1) * STEP
    return speeds[(speeds >= low) & (speeds <= high)]


def _once_per_turn(drawn: Draws, state: State, row: Row, over: Array) -> Course:
    """Return the forces of unbalance and bow."""
    built = drawn.configuration
    turning = _shaft_speed(built, over)
    top = _shaft_speed(built, np.array([drawn.read.vehicle.top_speed]))[:, 0]
    unbalance, bow = [], []
    for shaft in built.shafts:
        permitted = permissible_unbalance(drawn.unknown["grade"], shaft.mass, top)
        unbalance.append(permitted if shaft.unbalance is None else shaft.unbalance)
        bow.append(drawn.unknown["bow"] if shaft.runout is None else np.asarray(shaft.runout) / 2)
    stays, grows = turning_loads(row, _columns(drawn, unbalance), _columns(drawn, bow))
    free = shaken(row, np.concatenate([stays, grows], axis=2), turning, 0.0)
    count, square = stays.shape[2], turning[..., None, None] ** 2
    moved = free.moved[..., :count] + square * free.moved[..., count:]
    ends = []
    for rigid in (True, False):
        aside, upright = supports_of(built, drawn.unknown, rigid=rigid)
        first = support_forces(free, moved, aside, turning)
        other = first if rigid else support_forces(free, moved, upright, turning)
        ends.append(longest(first, -1j * other))
    each = np.stack(ends)
    force = np.sqrt((each**2).sum(axis=-1))
    return _course(drawn, state, 1, over, force, each.sum(axis=-1))


def _twice_per_turn(drawn: Draws, state: State, still: State, row: Row, over: Array) -> Course:
    """Return the forces of the joints."""
    turning, at = _shaft_speed(drawn.configuration, over), drawn.at(state)
    torque = np.broadcast_to(drawn.rows.shaft_torque[at], len(row.square))[:, None]
    share = np.ones((1, len(over)))
    if state.situation == "cruise":
        share = cruise_share(drawn.configuration, over)
    full, none = (_waves(drawn, number) for number in (at, drawn.at(still)))
    loads, idle = (
        couple_loads(row, waves, levers_of(drawn.configuration)) for waves in (full, none)
    )
    per_torque, per_speed = cruising(loads, idle, share)
    sizes = (torque * share)[..., None, None] * per_torque
    sizes = sizes + turning[..., None, None] ** 2 * per_speed
    free = shaken(row, loads.pattern, 2 * turning, drawn.unknown["tube loss"])
    moved = np.einsum("bvpc,bvci->bvpi", free.moved, sizes)
    ends = []
    for rigid in (True, False):
        planes = supports_of(drawn.configuration, drawn.unknown, rigid=rigid)
        aside, upright = (
            support_forces(free, moved[..., plane, None], supports, 2 * turning)[..., 0]
            for plane, supports in enumerate(planes)
        )
        ends.append(longest(aside, upright))
    force = np.stack(ends)
    error = full.error[:, None] * share[..., None] + none.error[:, None] * (1 - share[..., None])
    loss = drawn.unknown["tube loss"]
    twist = uneven_torque(drawn.configuration, drawn.length[at], error, turning, loss)
    return replace(_course(drawn, state, 2, over, force, force), twist=twist)


def _course(
    drawn: Draws, state: State, order: Order, over: Array, force: Array, worst: Array
) -> Course:
    """Return a course with how far the bearings swing: force over their dynamic stiffness."""
    rubber = _columns(drawn, [bearing.radial for bearing in drawn.configuration.bearings])
    loss = drawn.unknown["rubber loss"][:, None]
    given = worst[..., 1:-1] / (rubber * np.hypot(1, loss))[:, None]
    return Course(state=state, order=order, speed=over, force=force, worst=worst, given=given)


def _waves(drawn: Draws, at: int) -> JointWaves:
    """Return how the joints shake in a state."""
    built = drawn.configuration
    return joint_waves(built, drawn.axis[at], polar_inertia(built, drawn.length[at]))


def _shaft_speed(built: Configuration, over: Array) -> Array:
    """Return shaft speeds at road speeds [rad/s], (1 or D, V)."""
    vehicle = built.vehicle
    per_meter = tau * np.asarray(vehicle.axle_ratio) / vehicle.tire_circumference
    return np.asarray(np.reshape(per_meter, (-1, 1)) * over)


def _columns(drawn: Draws, numbers: Sequence[Any]) -> Array:
    """Return numbers of every draw side by side, (D, count)."""
    count = len(drawn.unknown["grade"])
    each = [np.broadcast_to(number, count) for number in numbers]
    return np.stack(each, axis=-1) if each else np.zeros((count, 0))
