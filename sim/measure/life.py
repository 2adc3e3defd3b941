r"""Life of the joint bearings under a duty, by the formula that belongs to each rating.

.. math:: L_h = \frac{C}{\beta n} \left( \frac{T_r}{T} \right)^{10/3}

Makers rate joints in different ways, so C goes with the rating and ratings of different ways are
never compared.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.measure.numbers import Numbers
from sim.scene.parts import Duty, Joint, LifeBasis
from sim.units import DEGREE, HOUR, MINUTE, TURN

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


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyStep:
    """One part of the duty, as it enters; its numbers are those of B designs in ``duty_of``."""

    name: str  # of the part
    share: float  # of the time in which the shafts turn [-]
    state: int  # number of the state that it is driven in
    torque: Any  # in the shaft [N m]
    speed: Any  # shaft speed [rad/s]
    road_speed: Any  # [m/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLife:
    """Life of one joint's bearings."""

    joint: int  # number of the joint, from 1
    rating: float  # its rating [N m]
    basis: LifeBasis  # what the rating means
    life: float | None  # that nine of ten outlive [s], or None where nothing wears
    distance: float | None  # the same as distance driven [m]
    worst: str  # name of the part of the duty that takes most of it


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLives:
    """Lives of all joints whose rating the scene gives, and the duty behind them."""

    duty: tuple[DutyStep, ...]  # the parts of the duty
    usual: bool  # whether a usual duty stands in for one that the scene does not give
    lives: tuple[JointLife, ...]  # one for every joint with a rating


def bearing_life(
    rating: ArrayLike, torque: ArrayLike, angle: ArrayLike, speed: ArrayLike, basis: LifeBasis
) -> Array:
    """Return the life that nine of ten joint bearings outlive.

    Rating T_r and torque T in the shaft [N m], joint angle β [rad], which enters as 3 degrees at
    the least, and shaft speed n [rad/s] give a life [s], infinite without torque or speed; on
    average joints live about five times as long (AISCO).

    Source:
        See ``CONSTANTS``.
    """
    constant = CONSTANTS[basis] * HOUR * DEGREE * TURN / MINUTE
    beta = np.maximum(np.asarray(angle, float), LEAST_ANGLE)
    return _over(constant, beta * speed * (np.asarray(torque, float) / rating) ** EXPONENT)


def combined_life(share: ArrayLike, life: ArrayLike) -> Array:
    r"""Return the life under a duty of several parts.

    .. math:: 1/L = \sum q_i / L_i

    Shares of the time q [-] and the lives L if there were nothing else [any unit], (..., parts),
    give a life (...), infinite where no part wears.

    Source:
        Palmgren and Miner, from memory; AISCO names the method.
    """
    return _over(1.0, np.sum(np.asarray(share, float) / np.asarray(life, float), axis=-1))


def joint_lives(numbers: Numbers) -> tuple[Array, Array]:
    """Return how long [s] and how far [m] all joint bearings live under the duty, both (B, J).

    Infinite where nothing wears a joint or no rating is given for it; a part of the duty in none of
    the states is left out.
    """
    duty = duty_of(numbers)
    share = _columns([step.share for step in duty])
    alone = [_alone(numbers, duty, number) for number in range(numbers.joint_angle.shape[-1])]
    life = np.stack([combined_life(share, each) for each in alone], axis=-1)
    mean = (share * _columns([step.road_speed for step in duty])).sum(axis=-1)
    far = np.broadcast_to(np.asarray(mean)[..., None], life.shape)
    worn = np.isfinite(life)  # what nothing wears lasts at any speed, at standstill too
    return life, np.multiply(life, far, out=np.full(life.shape, np.inf), where=worn)


def measure_lives(numbers: Numbers) -> JointLives:
    """Return the life of every joint of one design that the scene rates, and the duty behind it."""
    duty, configuration = duty_of(numbers), numbers.configuration
    lives, distances = (each[0].tolist() for each in joint_lives(numbers))
    found = []
    for index, joint in enumerate(configuration.joints):
        rated = _rated(joint)
        if rated is None:
            continue
        wears = bool(np.isfinite(lives[index]))
        wear = [step.share for step in duty] / _alone(numbers, duty, index)[0]
        found.append(
            JointLife(
                joint=index + 1,
                rating=rated[0],
                basis=rated[1],
                life=lives[index] if wears else None,
                distance=distances[index] if wears else None,
                worst=duty[int(np.argmax(wear))].name if wears else "",
            )
        )
    return JointLives(
        duty=tuple(_of_one(step) for step in duty),
        usual=not configuration.duties,
        lives=tuple(found),
    )


def duty_of(numbers: Numbers) -> tuple[DutyStep, ...]:
    """Return the parts of the duty whose states are there, their shares made whole."""
    vehicle = numbers.configuration.vehicle
    found = []
    for part in numbers.configuration.duties or USUAL:
        like = [
            k
            for k, s in enumerate(numbers.states)
            if (s.height, s.case, s.roll) == (part.height, part.case, 0.0) and s.turning
        ]
        if not like:
            continue
        speed, road = numbers.shaft_speed[:, like[0]], numbers.road_speed[:, like[0]]
        if part.road_speed is not None:
            road = np.broadcast_to(part.road_speed, road.shape)
            speed = road * TURN / vehicle.tire_circumference * vehicle.axle_ratio
        found.append(
            DutyStep(
                name=part.name,
                share=part.share,
                state=like[0],
                torque=np.abs(numbers.shaft_torque[:, like[0]]),
                speed=speed,
                road_speed=road,
            )
        )
    whole = sum(step.share for step in found)
    return tuple(replace(step, share=step.share / whole) for step in found)


def _alone(numbers: Numbers, duty: tuple[DutyStep, ...], joint: int) -> Array:
    """Return the life of a joint under each part of the duty alone [s], (B, parts)."""
    made = numbers.configuration.joints[joint]
    rated = _rated(made)
    if rated is None or not duty:
        return np.full((len(numbers.lost), len(duty)), np.inf)
    angle = numbers.joint_angle[:, [step.state for step in duty], joint] / made.of_kind.crosses
    return bearing_life(
        np.asarray(rated[0], float)[..., None],
        _columns([step.torque for step in duty]),
        angle,
        _columns([step.speed for step in duty]),
        rated[1],
    )


def _rated(joint: Joint) -> tuple[float, LifeBasis] | None:
    """Return rating and basis of a joint whose life a formula for crosses tells."""
    if joint.life_rating is None or joint.life_basis is None or not joint.of_kind.crosses:
        return None
    return joint.life_rating, joint.life_basis


def _columns(values: list[Any]) -> Array:
    """Return numbers of the parts of a duty side by side, (parts,) or (B, parts)."""
    return np.asarray(np.stack(np.broadcast_arrays(*values), axis=-1) if values else [], float)


def _of_one(step: DutyStep) -> DutyStep:
    """Return a part of the duty of the first design."""
    torque, speed, road = (float(each[0]) for each in (step.torque, step.speed, step.road_speed))
    return replace(step, torque=torque, speed=speed, road_speed=road)


def _over(numerator: float, denominator: Array) -> Array:
    """Return a quotient, infinite over 0."""
    endless = np.full(np.shape(denominator), np.inf)
    return np.asarray(np.divide(numerator, denominator, out=endless, where=denominator > 0))
