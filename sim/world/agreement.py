"""How far the exact route and the rigid bodies are apart, at the same states and turn angles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Array
from sim.errors import DomainError
from sim.motion.frames import angle_between
from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.world.engine import Settings, engine_version
from sim.world.readings import closure_gap
from sim.world.simulate import EVERY, settings_for


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """Differences that are never exceeded on a sound scene; our own promise, no outside source.

    Attributes:
        joint_angle: [rad].
        slip: [m].
        speed_ratio: [-].
        fluctuation: Peak to peak [-].
    """

    joint_angle: float = float(np.deg2rad(0.005))
    slip: float = 1e-5
    speed_ratio: float = 3e-5
    fluctuation: float = 5e-5


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """Largest differences of the two routes over all states held and all angles of a turn.

    Attributes:
        configuration: Name of the configuration.
        joint_angle: Of the angle of any joint [rad].
        slip: Of the slip of any spline [m].
        speed_ratio: Of the speed of any member over that of the output [-].
        fluctuation: Of the fluctuation, peak to peak, of any member [-].
        closure_gap: Furthest that the engine's bodies are from the points that hold them [m].
        step: Turn of the output in one time step [rad].
        steps: Time steps in one turn of the output.
        heights: Heights of the axle compared in every torque case, the fewest of them.
        cases: Names of the torque cases.
        states: Number of states compared.
        engine: Name and version of the physics engine.
        settings: How it stepped.
    """

    configuration: str
    joint_angle: float
    slip: float
    speed_ratio: float
    fluctuation: float
    closure_gap: float
    step: float
    steps: int
    heights: int
    cases: tuple[str, ...]
    states: int
    engine: str
    settings: Settings

    def keeps(self, promise: Promise) -> bool:
        """Tell whether every difference stays within a promise."""
        return (
            self.joint_angle <= promise.joint_angle
            and self.slip <= promise.slip
            and self.speed_ratio <= promise.speed_ratio
            and self.fluctuation <= promise.fluctuation
        )


def compare_routes(simulated: Motion) -> Agreement:
    """Solve at the very states and turn angles of a simulated motion and compare.

    Args:
        simulated: Motion from ``simulate``.

    Returns:
        The largest differences.

    Raises:
        DomainError: If the motion does not come from ``simulate``.
    """
    if simulated.route != "simulate":
        raise DomainError(
            f'a motion from simulate is compared, this one comes from "{simulated.route}"'
        )
    exact = solve(simulated.configuration, states=simulated.states, turn_angle=simulated.turn_angle)
    steps = EVERY * simulated.turn_angle.shape[1]
    cases = tuple(dict.fromkeys(state.case for state in simulated.states))
    return Agreement(
        configuration=simulated.configuration.name,
        joint_angle=_apart(_joint_angles(simulated), _joint_angles(exact)),
        slip=max(
            _apart(simulated.slip, exact.slip), _apart(simulated.output_slip, exact.output_slip)
        ),
        speed_ratio=_apart(simulated.speed_ratio, exact.speed_ratio),
        fluctuation=_apart(_fluctuation(simulated), _fluctuation(exact)),
        closure_gap=closure_gap(simulated, exact),
        step=2 * np.pi / steps,
        steps=steps,
        heights=min(len({s.travel for s in simulated.states if s.case == case}) for case in cases),
        cases=cases,
        states=len(simulated.states),
        engine=engine_version(),
        settings=settings_for(steps),
    )


def _joint_angles(motion: Motion) -> Array:
    """Return the true angle of every joint [rad], shape (S, K, J)."""
    return angle_between(motion.axis[..., :-1, :], motion.axis[..., 1:, :])


def _fluctuation(motion: Motion) -> Array:
    """Return the speed of every member, largest less smallest over the turn, shape (S, M)."""
    return np.asarray(np.ptp(motion.speed_ratio, axis=1))


def _apart(one: Array, other: Array) -> float:
    """Return the largest difference; where one is held exactly it stands for all angles."""
    return float(np.abs(one - other).max())
