r"""Life of the joint bearings under a duty, by the formula that belongs to each rating.

.. math:: L_h = \frac{C}{\beta n} \left( \frac{T_r}{T} \right)^{10/3}

Makers rate joints in different ways, so C goes with the rating and ratings of different ways are
never compared.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.motion.states import State
from sim.scene.parts import Configuration
from sim.scene.service import Duty, LifeBasis

Array = NDArray[np.float64]

HOUR, DEGREE, RPM = 3600.0, np.pi / 180, 2 * np.pi / 60
EXPONENT = 10 / 3
LEAST_ANGLE = 3 * DEGREE  # a smaller angle enters as this: "Dimensions of Cardan Shafts"
CONSTANTS: dict[LifeBasis, float] = {  # [h deg rpm]
    "5000 h at 3 deg and 100 rpm": 1.5e6,  # AISCO, universal joint sizing
    "capacity times radius": 7.67e6,  # back-calculated from "Dimensions of Cardan Shafts"
}
BASES: dict[LifeBasis, str] = {
    "5000 h at 3 deg and 100 rpm": "AISCO, universal joint sizing: 1.5e6/(β n) (Tr/T)^(10/3) h",
    "capacity times radius": "“Dimensions of Cardan Shafts”, a maker's catalogue chapter: "
    "7.67e6/(β n) (Tr/T)^(10/3) h, the constant calculated back from its worked example",
}
USUAL = (  # common practice, no source
    Duty(name="cruise", share=0.94, case="cruise", height="ride height"),
    Duty(name="engine braking", share=0.05, case="engine braking", height="ride height"),
    Duty(name="hard launch", share=0.01, case="hard launch", height="ride height"),
)
CROSSED = {"universal": 1.0, "double cardan": 0.5}  # share of the joint angle at each cross


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyStep:
    """One part of the duty, as it enters.

    Attributes:
        name: Of the part.
        share: Of the time in which the shafts turn [-].
        state: Number of the state that it is driven in.
        torque: In the shaft [N m].
        speed: Shaft speed [rad/s].
    """

    name: str
    share: float
    state: int
    torque: float
    speed: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLife:
    """Life of one joint's bearings.

    Attributes:
        joint: Number of the joint, from 1.
        rating: Its rating [N m].
        basis: What the rating means.
        life: That nine of ten outlive under the duty [s], or None where no torque wears them.
        worst: Name of the part of the duty that takes most of it.
    """

    joint: int
    rating: float
    basis: LifeBasis
    life: float | None
    worst: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLives:
    """Lives of all joints whose rating the scene gives, and the duty behind them.

    Attributes:
        duty: The parts of the duty.
        usual: Whether a usual duty stands in for one that the scene does not give.
        lives: One for every joint with a rating.
    """

    duty: tuple[DutyStep, ...]
    usual: bool
    lives: tuple[JointLife, ...]


def bearing_life(
    rating: ArrayLike, torque: ArrayLike, angle: ArrayLike, speed: ArrayLike, basis: LifeBasis
) -> Array:
    """Return the life that nine of ten joint bearings outlive.

    Args:
        rating: T_r [N m], by its basis.
        torque: T in the shaft [N m], above 0.
        angle: Joint angle β [rad]; below 3 degrees it enters as 3 degrees.
        speed: Shaft speed n [rad/s], above 0.
        basis: What the rating means.

    Returns:
        Life [s]; on average joints live about five times as long (AISCO).

    Source:
        See ``CONSTANTS``.
    """
    constant = CONSTANTS[basis] * HOUR * DEGREE * RPM
    beta = np.maximum(np.asarray(angle, float), LEAST_ANGLE)
    return np.asarray(constant / (beta * speed) * (np.asarray(rating) / torque) ** EXPONENT)


def combined_life(share: ArrayLike, life: ArrayLike) -> float:
    r"""Return the life under a duty of several parts.

    .. math:: 1/L = \sum q_i / L_i

    Args:
        share: Shares of the time q [-].
        life: Life if there were nothing but that part [any unit].

    Returns:
        Life [same unit].

    Source:
        Palmgren and Miner, from memory; AISCO names the method.
    """
    return float(1 / np.sum(np.asarray(share, float) / np.asarray(life, float)))


def measure_lives(
    configuration: Configuration, states: tuple[State, ...], joint_angle: Array, speed: Array
) -> JointLives:
    """Return the life of every joint that the scene rates.

    Args:
        configuration: Its joints and duties.
        states: The states; a part of the duty in none of them is left out.
        joint_angle: Joint angles [rad], shape (S, J).
        speed: Shaft speeds [rad/s], shape (S,).

    Returns:
        Duty and lives; no lives where nothing turns under torque or no joint is rated.
    """
    duty = _steps(configuration, states, speed)
    wearing = [step for step in duty if step.torque > 0 and step.speed > 0]
    lives = []
    for number, joint in enumerate(configuration.joints, start=1):
        if joint.life_rating is None or joint.life_basis is None or joint.kind not in CROSSED:
            continue
        life, worst = None, ""
        if wearing:
            share, torque, turns = np.array([(s.share, s.torque, s.speed) for s in wearing]).T
            angle = joint_angle[[s.state for s in wearing], number - 1] * CROSSED[joint.kind]
            alone = bearing_life(joint.life_rating, torque, angle, turns, joint.life_basis)
            life, worst = combined_life(share, alone), wearing[int(np.argmax(share / alone))].name
        lives.append(
            JointLife(
                joint=number,
                rating=joint.life_rating,
                basis=joint.life_basis,
                life=life,
                worst=worst,
            )
        )
    return JointLives(duty=duty, usual=not configuration.duties, lives=tuple(lives))


def _steps(
    configuration: Configuration, states: tuple[State, ...], speed: Array
) -> tuple[DutyStep, ...]:
    """Return the parts of the duty whose states are there, their shares made whole."""
    vehicle = configuration.vehicle
    found = []
    for part in configuration.duties or USUAL:
        state = next(
            (
                number
                for number, s in enumerate(states)
                if (s.height, s.case, s.roll) == (part.height, part.case, 0.0) and s.turning
            ),
            None,
        )
        if state is None:
            continue
        turns = float(speed[state])
        if part.road_speed is not None:
            turns = part.road_speed * 2 * np.pi / vehicle.tire_circumference * vehicle.axle_ratio
        found.append((part, state, turns))
    whole = sum(part.share for part, _, _ in found)
    return tuple(
        DutyStep(
            name=part.name,
            share=part.share / whole,
            state=state,
            torque=abs(states[state].shaft_torque),
            speed=turns,
        )
        for part, state, turns in found
    )
