"""What every frame shows: how far the axle has gone, how hard it is driven, how the shafts stand.

Parked at ride height, up to full bump, down to full droop, back, then the hardest launch of the
scene.  Both configurations of a film go through the same travel, at the same moments.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.errors import DomainError
from sim.motion.frames import angle_between
from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.motion.states import State
from sim.motion.torque import TorqueLoad, torque_loads
from sim.scene.parts import Configuration, TorqueCase

Array = NDArray[np.float64]

TURNS_PER_SECOND = 0.6  # slow enough to follow a yoke with the eye
CLOSING_SHARE = 0.27  # of the film, for the numbers at its end; 1.6 s of 6
SAMPLES = 48  # of half a turn, for the band of the speed variation

# Share of the film, of the travel (+ bump), of the launch torque, what is written there.
_KEYS = (
    (0.00, 0.0, 0.0, "ride height"),
    (0.10, 0.0, 0.0, ""),
    (0.22, 1.0, 0.0, "full bump"),
    (0.38, -1.0, 0.0, "full droop"),
    (0.48, 0.0, 0.0, "ride height"),
    (0.57, 0.0, 1.0, ""),
    (0.62, 0.0, 1.0, "hard launch"),
    (1.00, 0.0, 1.0, ""),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Script:
    """The course of the film, the same for every configuration in it.  F frames.

    Attributes:
        fps: Frames per second [1/s].
        travel: Travel of the axle [m], bump positive, shape (F,).
        torque: Share of the hardest launch torque [-], shape (F,).
        turn: Rotation of the output [rad], shape (F,).
        droop, bump: Ends of the travel that is shown [m], both positive.
        marks: Frames with something to call them by.
        closing: First frame that shows the closing numbers.
    """

    fps: float
    travel: Array
    torque: Array
    turn: Array
    droop: float
    bump: float
    marks: tuple[tuple[int, str], ...]
    closing: int

    @property
    def frames(self) -> int:
        """Number of frames."""
        return len(self.turn)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Take:
    """One configuration as the film shows it.  F frames, J joints.

    Attributes:
        motion: Its motion, a state a frame; the first turn angle of a state is the frame's own.
        joint_angle: True joint angles [rad], shape (F, J).
        variation: Speed of the pinion over that of the output, less one [-], shape (F,).
        lowest, highest: Its extremes over a turn of the shafts [-], shape (F,).
        slip: Of the spline that follows the axle [m], shape (F,).
        launch: The load behind the launch torque, or None where there is none.
    """

    motion: Motion
    joint_angle: Array
    variation: Array
    lowest: Array
    highest: Array
    slip: Array
    launch: TorqueLoad | None


def write_script(configurations: Sequence[Configuration], *, seconds: float, fps: float) -> Script:
    """Return the course of a film that suits all of its configurations.

    Args:
        configurations: One or two.
        seconds: Length of the film [s].
        fps: Frames per second [1/s].

    Raises:
        DomainError: If it would have fewer than three frames.
    """
    frames = round(seconds * fps)
    if frames < 3:
        raise DomainError(f"a film needs 3 frames or more; {seconds} s at {fps} a second is less")
    ranges = [c.travel for c in configurations]
    travels = [travel for travel in ranges if travel is not None]
    moves = len(travels) == len(ranges)
    droop = min(travel.droop for travel in travels) if moves else 0.0
    bump = min(travel.bump for travel in travels) if moves else 0.0
    launch = next(filter(None, map(hardest_launch, configurations)), None)
    share = np.linspace(0.0, 1.0, frames)
    height = _eased(share, 1)
    last = frames - 1
    return Script(
        fps=fps,
        travel=np.where(height > 0, height * bump, height * droop),
        torque=_eased(share, 2) * (launch is not None),
        turn=np.arange(frames) / fps * TURNS_PER_SECOND * 2 * np.pi,
        droop=droop,
        bump=bump,
        marks=tuple(
            (round(at * last), launch.name if launch and driven else words)
            for at, up, driven, words in _KEYS
            if words and (moves or not up) and (launch or not driven)
        ),
        closing=min(round((1.0 - CLOSING_SHARE) * last), last),
    )


def shoot(configuration: Configuration, script: Script) -> Take:
    """Return what the film shows of a configuration, computed exactly for every frame.

    Args:
        configuration: Whose.
        script: Course of the film.

    Raises:
        GeometryError: If the parts cannot reach a state of the film; it names the state.
    """
    launch = hardest_launch(configuration)
    states = tuple(
        _state(float(travel), float(share), launch, script)
        for travel, share in zip(script.travel, script.torque, strict=True)
    )
    if launch is not None:
        configuration = _with_growing_launch(configuration, launch, script)
    around = np.linspace(0.0, np.pi, SAMPLES, endpoint=False)
    turn = script.turn[:, None] + np.concatenate([[0.0], around])
    motion = solve(configuration, states=states, turn_angle=turn)
    variation = motion.speed_ratio[:, :, -1] - 1.0
    axis = motion.axis[:, 0]
    return Take(
        motion=motion,
        joint_angle=angle_between(axis[:, :-1], axis[:, 1:]),
        variation=variation[:, 0],
        lowest=variation.min(axis=1),
        highest=variation.max(axis=1),
        slip=motion.slip[:, 0],
        launch=launch,
    )


def hardest_launch(configuration: Configuration) -> TorqueLoad | None:
    """Return the load that drives the axle hardest, or None where nothing drives it."""
    if configuration.suspension is None:
        return None
    load = max(torque_loads(configuration), key=lambda load: load.wheel_torque)
    return load if load.wheel_torque > 0 else None


def _eased(share: Array, column: int) -> Array:
    """Return one column of the keys over the film, at rest at every key."""
    last = len(share) - 1
    # Keys fall on frames, so that the ends of the travel are shown exactly.
    at = np.round(np.array([key[0] for key in _KEYS]) * last) / last
    value = np.array([key[column] for key in _KEYS], float)
    k = np.clip(np.searchsorted(at, share, side="right") - 1, 0, len(at) - 2)
    part = (share - at[k]) / (at[k + 1] - at[k])
    return np.asarray(value[k] + (value[k + 1] - value[k]) * (1 - np.cos(np.pi * part)) / 2)


def _with_growing_launch(
    configuration: Configuration, launch: TorqueLoad, script: Script
) -> Configuration:
    """Return a configuration whose output moves on its mounts as the launch torque grows."""
    cases = {case.name: case for case in configuration.torque_cases}
    rest, full = cases.get("no torque", TorqueCase(name="no torque")), cases[launch.name]
    growing = [
        TorqueCase(
            name=_case(share, launch),
            wheel_torque=share * launch.wheel_torque,
            output_move=(
                _between(rest.output_move[0], full.output_move[0], share),
                _between(rest.output_move[1], full.output_move[1], share),
                _between(rest.output_move[2], full.output_move[2], share),
            ),
            output_tip=_between(rest.output_tip, full.output_tip, share),
        )
        for share in np.unique(script.torque).tolist()
        if 0 < share < 1
    ]
    return replace(configuration, torque_cases=(*configuration.torque_cases, *growing))


def _between(first: float, last: float, share: float) -> float:
    """Return the value at a share of the way."""
    return first + (last - first) * share


def _case(share: float, launch: TorqueLoad | None) -> str:
    """Return the name of the torque case at a share of the launch torque."""
    if launch is None or share == 0:
        return "no torque"
    return launch.name if share == 1 else f"{share * 100:.4g} % of {launch.name}"


def _state(travel: float, share: float, launch: TorqueLoad | None, script: Script) -> State:
    """Return the state of one frame, named where its height has a name."""
    named = {script.bump: "full bump", -script.droop: "full droop", 0.0: "ride height"}
    return State(
        height=named.get(travel, ""),
        case=_case(share, launch),
        travel=travel,
        roll=0.0,
        wheel_torque=share * launch.wheel_torque if launch else 0.0,
        shaft_torque=share * launch.shaft_torque if launch else 0.0,
        turning=True,
        road_speed=0.0,
    )
