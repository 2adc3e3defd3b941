"""What is measured, sample by sample: every reading somewhere in its band."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sim.measure.acceleration import shaft_speed
from sim.measure.sampling import (
    SAMPLES,
    SEED,
    Source,
    draw,
    exact_readings,
    one_by_one,
    sampled,
    sources_of,
)
from sim.measure.waves import steepest, swing, swing_between
from sim.motion.chain import reference_of
from sim.motion.frames import angle_between
from sim.motion.joints import kinds_of, phases_of, pin_planes, shares_of
from sim.motion.motion import Motion, Reference
from sim.motion.near import Known, Samples, axle_near, samples_at
from sim.motion.postures import Postures, ends_at, hung
from sim.motion.separable import speed_waves
from sim.motion.states import State
from sim.motion.sweep import named_heights, state_at
from sim.motion.torque import torque_loads
from sim.scene.parts import Configuration, Height

Array = NDArray[np.float64]
MOST_STATES = 25
TOGETHER = 5000  # samples worked on at once: what fits the fast memory of a core


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Values:
    """Numbers of n samples in S states; samples last.

    Attributes:
        joint_angle: True joint angles [rad], shape (S, J, n).
        slip: Of the spline that follows the axle [m], (S, n); its ``gap`` and ``engaged`` [m].
        wrap: Turn of the pinion by torque [rad], (S, n).
        fluctuation: Of every member behind a joint, peak to peak [-], (S, J, n).
        torsional, inertial_drive, inertial_coast: Accelerations, the largest over the shafts
            [rad/s²], (S, n).
        shaft_speed: [rad/s], (S, n).
        shaft_torque: [N m], (S, n).
        axis: Unit axes of the first state, ride height, shape (1, M, 3, n).
        reach: Largest joint-center distance of every shaft while it turns, against that as it was
            read [-], (1, N, n).
        per_speed: Road speed over shaft speed, against that as it was read [-], (1, n).
        lost: Whether some state cannot be reached, 0 or 1, (1, n).
    """

    joint_angle: Array
    slip: Array
    gap: Array
    engaged: Array
    wrap: Array
    fluctuation: Array
    torsional: Array
    inertial_drive: Array
    inertial_coast: Array
    shaft_speed: Array
    shaft_torque: Array
    axis: Array
    reach: Array
    per_speed: Array
    lost: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spread:
    """Samples of one configuration.

    Attributes:
        sources: What is not known exactly.
        exact: Paths of what was read without a ±.
        seed: Of the random numbers.
        off: How far each source is from its middle [standard deviations], (sources, samples).
        states: The states looked at, ride height at rest first.
        values: Of the random samples.
        alone: Of the middle, then each source alone at its low end, then each at its high end;
            n = 1 + 2 × sources.
    """

    sources: tuple[Source, ...]
    exact: tuple[str, ...]
    seed: int
    off: Array
    states: tuple[State, ...]
    values: Values
    alone: Values


def measure_spread(
    motion: Motion, states: Sequence[State], samples: int = SAMPLES, seed: int = SEED
) -> Spread:
    """Return what is measured when every reading is somewhere in its band.

    Postures are exact in every sample; speed ratios come from their closed form.

    Args:
        motion: The configuration as it was read, from ``solve``.
        states: The states to look at, ride height at rest first; each near one of the motion.
        samples: How many samples.
        seed: Of the random numbers.

    Returns:
        The samples; and each source alone at both ends of its band.
    """
    sources = sources_of(motion.configuration)
    known = [(state, _known(motion, state)) for state in states]
    off = draw(sources, samples, seed)

    def work(part: Array) -> Values:
        return _values(sampled(motion.configuration, sources, part), motion.configuration, known)

    parts = [off[:, start : start + TOGETHER] for start in range(0, samples, TOGETHER)]
    found = [work(part) for part in (one_by_one(sources), *parts)]
    return Spread(
        sources=sources,
        exact=exact_readings(motion.configuration),
        seed=seed,
        off=off,
        states=tuple(states),
        values=_against(_joined(found[1:]), found[0]),
        alone=_against(found[0], found[0]),
    )


def _known(motion: Motion, state: State) -> Known:
    """Return the axle's posture in the state of a motion that is nearest to one."""
    like = [i for i, s in enumerate(motion.states) if s.case == state.case and s.roll == state.roll]
    nearest = min(like, key=lambda i: abs(motion.states[i].travel - state.travel))
    rotation = motion.axle_rotation[nearest]
    return Known(
        turn=float(np.arctan2(-rotation[2, 0], rotation[2, 2])),
        wrap=float(motion.wrap[nearest]),
        aft=float(motion.axle_center[nearest, 0]),
    )


def _against(values: Values, alone: Values) -> Values:
    """Return values whose lengths stand against those of the middle."""
    return replace(values, reach=values.reach / alone.reach[..., :1])


def _joined(parts: Sequence[Values]) -> Values:
    """Return parts of the samples behind each other."""
    names = [field.name for field in fields(Values)]
    return Values(
        **{name: np.concatenate([getattr(p, name) for p in parts], axis=-1) for name in names}
    )


def _values(
    configuration: Configuration, read: Configuration, states: Sequence[tuple[State, Known]]
) -> Values:
    """Return the numbers of the samples of a configuration."""
    ride = samples_at(configuration, 0.0, 0.0, 0.0)
    reference = reference_of(configuration, ride)
    place = _place(configuration, read)
    parked: dict[tuple[float, float], Array] = {}
    held, rows = [], []
    lost = ride.lost
    for state, known in states:
        here = place(state)
        request = samples_at(configuration, here.travel, here.roll, here.wheel_torque)
        posture = _posture(request, reference, state, known, parked)
        lost = lost | request.lost
        held.append(posture)
        rows.append(_numbers(configuration, posture, here))
    stacked = {name: np.stack([row[name] for row in rows]) for name in rows[0]}
    spline = configuration.spline
    drawn = spline.engaged - stacked["slip"]
    return Values(
        **stacked,
        gap=spline.gap + stacked["slip"],
        engaged=drawn if spline.shorter is None else np.minimum(drawn, spline.shorter),
        axis=np.moveaxis(held[0].axis, 0, -1)[None],
        reach=_reach(held, states)[None],
        per_speed=np.broadcast_to(
            shaft_speed(read.vehicle, 1.0) / shaft_speed(configuration.vehicle, 1.0), lost.shape
        )[None],
        lost=lost[None].astype(float),
    )


def _place(configuration: Configuration, read: Configuration) -> Callable[[State], State]:
    """Return what turns a state as it was read into its samples.

    A height without a name stays at its share of droop or bump.
    """
    heights = {height.name: height for height in named_heights(configuration)}
    cases = {case.name: case for case in configuration.torque_cases}

    def place(state: State) -> State:
        height = heights.get(state.height)
        if height is None or state.roll:
            height = _between(configuration, read, state)
        loads = {load.name: load for load in torque_loads(configuration, height)}
        return state_at(configuration, height, cases[state.case], loads[state.case])

    return place


def _between(configuration: Configuration, read: Configuration, state: State) -> Height:
    """Return a height without a name of its own, for samples of the travel."""
    assert configuration.travel is not None
    assert read.travel is not None
    up = state.travel > 0
    whole = read.travel.bump if up else read.travel.droop
    now = configuration.travel.bump if up else configuration.travel.droop
    middle = state.travel * now / whole if whole else state.travel
    track = configuration.vehicle.track
    rise = 0.0 if track is None else track / 2 * np.sin(state.roll)
    return Height(name=state.height, left=middle - rise, right=middle + rise, turning=state.turning)


def _posture(
    request: Samples,
    reference: Reference,
    state: State,
    known: Known,
    parked: dict[tuple[float, float], Array],
) -> Postures:
    """Return the postures of all samples in one state; the parked axle of a height is kept."""
    key = (state.travel, state.roll)
    axle = axle_near(request, known, parked.get(key))
    turn = np.arctan2(-axle.rotation[:, 2, 0], axle.rotation[:, 2, 2])
    parked.setdefault(key, turn - axle.wrap)
    case = {c.name: c for c in request.configuration.torque_cases}[state.case]
    move = np.stack(np.broadcast_arrays(*case.output_move), axis=-1)
    return hung(request, reference, axle, ends_at(request, axle, move, np.asarray(case.output_tip)))


def _numbers(configuration: Configuration, held: Postures, state: State) -> dict[str, Array]:
    """Return the numbers of all samples in one state, samples last."""
    planes = pin_planes(
        held.axis, phases_of(configuration), kinds_of(configuration), shares_of(configuration)
    )
    waves = speed_waves(planes)
    swings = swing(waves)
    square = shaft_speed(configuration.vehicle, state.road_speed) ** 2
    coast = swing_between(waves[:, :-1], waves[:, -1:])
    count = len(swings)
    return {
        "joint_angle": angle_between(held.axis[:, :-1], held.axis[:, 1:]).T,
        "slip": held.slip,
        "wrap": held.wrap,
        "fluctuation": 2 * swings.T,
        "torsional": square * steepest(swings[:, -1]),
        "inertial_drive": square * steepest(swings[:, :-1].max(axis=1)),
        "inertial_coast": square * steepest(coast.max(axis=1)),
        "shaft_speed": np.broadcast_to(np.sqrt(square), count),
        "shaft_torque": np.broadcast_to(np.asarray(state.shaft_torque, float), count),
    }


def _reach(held: Sequence[Postures], states: Sequence[tuple[State, Known]]) -> Array:
    """Return the largest joint-center distances of the shafts while they turn, (N, n)."""
    reach = [
        np.linalg.norm(np.diff(posture.joint_center, axis=1), axis=-1).T
        for posture, (state, _) in zip(held, states, strict=True)
        if state.turning
    ]
    return np.asarray(np.maximum.reduce(reach))
