"""Motion a second time, from rigid bodies: an independent check of the exact formulas.

The engine is given the parts' dimensions and, at every state, where the pinion joint is and where
its axis points.  Joint angles, slip and speeds it finds by itself; they are read from its own
bodies, over one turn of the output at every state.  The constraint on the pinion moves the axle
from one state to the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from sim.errors import DomainError, EngineError
from sim.motion.frames import axis_from_slope, unit
from sim.motion.joints import coupling_axis, shares_of
from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.motion.states import State
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration, TorqueCase
from sim.world.build import ARM, Driveline, build
from sim.world.engine import Engine, Settings, check_settings, engine, quiet
from sim.world.readings import (
    Reading,
    closure_gap,
    coupled_joints,
    even_joints,
    motion_from,
    read,
)
from sim.world.tree import Dimensions

Array = NDArray[np.float64]
Progress = Callable[[int, int], None]

HEIGHTS = 9
STEPS = 1280  # a turn
EVERY = 10  # steps between two readings
LARGEST_STEP = np.deg2rad(0.6)
LARGEST_GAP = 5e-5  # of a point that is held in space [m]
LARGEST_LAG = 1e-5  # of the output against an even turn [rad]


def simulate(
    configuration: Configuration,
    *,
    states: Sequence[State] | None = None,
    progress: Progress | None = None,
    steps: int = STEPS,
) -> Motion:
    """Return the motion of a driveline of rigid bodies.

    Args:
        configuration: Whose motion it is.
        states: What to look at; those in which shafts do not turn are left out. Default: see
            ``default_states``.
        progress: Called with the number of states done and their number.
        steps: Time steps in one turn of the output, a multiple of 10.

    Returns:
        Motion read from the engine at every tenth step.

    Raises:
        DomainError: If no state turns, or steps is no multiple of 10.
        EngineError: If a step turns more than 0.6 deg, a held point does not stay where it is
            held, or the output does not turn as it is driven.
        GeometryError: If a state cannot be reached.

    Example:
        >>> from samples import two_piece
        >>> truck = two_piece()
        >>> simulate(truck, states=default_states(truck)[:2]).speed_ratio.shape
        (2, 128, 4)

    Source:
        Derived in DEVELOPERS.md, rigid bodies.
    """
    if steps % EVERY:
        raise DomainError(f"{steps} steps a turn, a multiple of {EVERY} is needed")
    if 2 * np.pi / steps > LARGEST_STEP:
        raise EngineError(f"{360 / steps:.3g} deg a step, at most 0.6 deg are exact enough")
    chosen = tuple(
        state
        for state in (default_states(configuration) if states is None else states)
        if state.turning
    )
    if not chosen:
        raise DomainError(f'configuration "{configuration.name}": no state in which shafts turn')
    exact = solve(configuration, states=chosen, turn_angle=np.zeros(1))
    readings: list[Reading] = []
    for _, group in groupby(range(len(chosen)), key=lambda s: chosen[s].case):
        for reading in _run_case(exact, list(group), steps):
            readings.append(reading)
            if progress is not None:
                progress(len(readings), len(chosen))
    with np.errstate(invalid="ignore", divide="ignore"):  # a broken run is refused below
        motion = motion_from(readings, exact)
    _check(motion, exact, steps)
    return motion


def default_states(configuration: Configuration) -> tuple[State, ...]:
    """Return the states that are simulated unless others are asked for.

    Args:
        configuration: Whose states.

    Returns:
        At least nine heights from droop to bump, and rolled ones, in the first torque case (at
        rest) and in the one with the largest wheel torque (hard launch).
    """
    turning = [s for s in sweep_states(configuration, heights=HEIGHTS) if s.turning]
    hardest = max(turning, key=lambda state: state.wheel_torque)
    return tuple(s for s in turning if s.case in (turning[0].case, hardest.case))


def settings_for(steps: int) -> Settings:
    """Return how the engine steps: one turn a second, since only degrees a step matter.

    Args:
        steps: Time steps in one turn of the output.

    Returns:
        The engine's settings.
    """
    return Settings(time_step=1.0 / steps)


def dimensions(exact: Motion, state: int) -> Dimensions:
    """Return what the driveline is cut to, and where its bearings are in one state.

    Shafts keep the lengths that they were built with, whatever the torque case: a bearing's rubber
    gives way along its shaft.  Only the place of the output is that of the state's torque case.

    Args:
        exact: Motion with the reference lengths.
        state: Number of the state.

    Returns:
        The dimensions.
    """
    c, case = exact.configuration, exact.states[state].case
    moved = next((t for t in c.torque_cases if t.name == case), TorqueCase(name=case))
    return Dimensions(
        output=c.output.point + np.asarray(moved.output_move),
        axis=axis_from_slope(c.output.slope + moved.output_tip, c.output.plan),
        lengths=exact.reference.length,
        phases=np.array([shaft.phase for shaft in c.shafts]),
        even=even_joints(c),
        bearings=exact.bearing_center[state, 0],
        pivots=exact.reference.length[:-1] - exact.reference.to_joint,
        spline=c.spline.at,
        output_spline=c.output_spline is not None,
        coupled=coupled_joints(c),
    )


def _yokes(exact: Motion, state: int) -> list[tuple[Array, Array]]:
    """Return joint center and axis of every coupling yoke that must be held, in one state."""
    c, axis = exact.configuration, exact.axis[state, 0]
    return [
        (exact.joint_center[state, 0, k], coupling_axis(axis[k], axis[k + 1], share))
        for k, share in enumerate(shares_of(c))
        if coupled_joints(c)[k]
    ]


def _run_case(exact: Motion, numbers: list[int], steps: int) -> Iterator[Reading]:
    """Turn the output through every state of one torque case; yield what is read."""
    settings = settings_for(steps)
    first = numbers[0]
    slides = [exact.slip[first, 0]]
    if exact.configuration.output_spline is not None:
        slides.insert(0, exact.output_slip[first, 0])
    with engine(settings) as world:
        with quiet():
            driveline = build(
                world,
                dimensions(exact, first),
                axes=exact.axis[first, 0, 1:],
                slides=np.array(slides),
                pinion=exact.joint_center[first, 0, -1],
                speed=2 * np.pi,
                yokes=_yokes(exact, first),
            )
        before = first
        for s in numbers:
            with quiet():
                _move(world, driveline, exact, (before, s), steps)
                reading = _record(world, driveline, steps)
                check_settings(world, settings)
            before = s
            yield reading


def _move(
    world: Engine, driveline: Driveline, exact: Motion, between: tuple[int, int], steps: int
) -> None:
    """Take the pinion from one state to the next over half a turn, then settle for half a turn.

    The bearings go along, as far as their rubber gives way.
    """
    share = np.minimum(np.arange(1, steps + 1) / (steps // 2), 1.0)[:, None]
    here, there = (exact.joint_center[s, 0, -1] for s in between)
    axis, aim = (exact.axis[s, 0, -1] for s in between)
    center = here + share * (there - here)
    behind = center + ARM * unit(axis + share * (aim - axis))
    yokes = [
        (held.constraint, place + share * (then - place) + ARM * unit(way + share * (aim - way)))
        for held, (place, way), (then, aim) in zip(
            driveline.couplings, *(_yokes(exact, s) for s in between), strict=True
        )
    ]
    moving = 1 if between[0] == between[1] else steps // 2
    joint, arm = (held.constraint for held in driveline.pinion)
    rubber, given = (exact.bearing_center[s, 0] for s in between)
    bearings = [
        (held.constraint, place + share * (then - place))
        for held, place, then in zip(driveline.bearings, rubber, given, strict=True)
    ]
    held = [(joint, center), (arm, behind), *bearings, *yokes]
    for step in range(moving):
        for constraint, targets in held:
            world.changeConstraint(constraint, targets[step].tolist())
        world.stepSimulation()
    for _ in range(steps - moving):
        world.stepSimulation()


def _record(world: Engine, driveline: Driveline, steps: int) -> Reading:
    """Turn once and read every tenth step, the first and the last included."""
    rows = [read(world, driveline)]
    step = world.stepSimulation
    for _ in range(steps // EVERY):
        for _ in range(EVERY):
            step()
        rows.append(read(world, driveline))
    return Reading.from_rows(rows)


def _check(motion: Motion, exact: Motion, steps: int) -> None:
    """Refuse a motion whose held points have come off or whose output did not turn evenly."""
    whose = f'configuration "{motion.configuration.name}": the engine'
    gap = closure_gap(motion, exact)
    if not gap <= LARGEST_GAP:  # also when it is not a number
        raise EngineError(
            f"{whose} holds its points to {gap * 1000:.3g} mm only, "
            f"{LARGEST_GAP * 1000:g} mm was asked"
        )
    driven = np.arange(0, steps, EVERY) * (2 * np.pi / steps)
    lag = float(np.abs(motion.turn_angle - motion.turn_angle[:, :1] - driven).max())
    if not lag <= LARGEST_LAG:
        raise EngineError(
            f"{whose} turns its output {np.degrees(lag):.3g} deg off an even turn, "
            f"{np.degrees(LARGEST_LAG):.2g} deg was asked"
        )
