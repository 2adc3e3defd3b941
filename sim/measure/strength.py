"""What the driveline must carry, and what carries it: torque, tubes, joints, life, balance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.measure.balance import ResidualUnbalance, measure_balance
from sim.measure.life import JointLives, measure_lives
from sim.measure.ratings import JointRating, joint_ratings
from sim.measure.torsion import ShaftTorques, TubeStrength, shaft_torques, tube_strengths
from sim.measure.torsional_modes import TorsionalModes, measure_torsional_modes
from sim.motion.motion import Motion

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """What no single state decides.

    Attributes:
        torques: What can reach the shafts.
        tubes: How the tubes stand it.
        ratings: What the joints stand for short.
        lives: How long the joint bearings live under the duty.
        modes: Torsional natural frequencies.
        unbalance: What every shaft may keep of unbalance.
    """

    torques: ShaftTorques
    tubes: tuple[TubeStrength, ...]
    ratings: tuple[JointRating, ...]
    lives: JointLives
    modes: TorsionalModes
    unbalance: tuple[ResidualUnbalance, ...]


def measure_strength(motion: Motion, joint_angle: Array, speed: Array, fastest: float) -> Strength:
    """Return what the driveline must carry, and what carries it.

    Args:
        motion: As solved or simulated.
        joint_angle: Joint angles [rad], shape (S, J).
        speed: Shaft speeds of the states [rad/s], shape (S,).
        fastest: Shaft speed at top speed [rad/s].

    Returns:
        Torques, tubes, ratings, lives, torsional frequencies and balance.
    """
    configuration, length = motion.configuration, motion.reference.length
    torques = shaft_torques(configuration)
    return Strength(
        torques=torques,
        tubes=tube_strengths(configuration, length, torques.most),
        ratings=joint_ratings(configuration),
        lives=measure_lives(configuration, motion.states, joint_angle, speed),
        modes=measure_torsional_modes(configuration, length),
        unbalance=measure_balance(configuration, fastest),
    )
