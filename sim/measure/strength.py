"""What the driveline must carry, and what carries it: torque, tubes, joints, life, balance."""

from __future__ import annotations

from dataclasses import dataclass

from sim.measure.balance import ResidualUnbalance, measure_balance
from sim.measure.life import JointLives, measure_lives
from sim.measure.numbers import Numbers
from sim.measure.sizing import JointRating, Sizing, joint_ratings, sizing_torques
from sim.measure.torsion import ShaftTorques, TubeStrength, shaft_torques, tube_strengths
from sim.measure.torsional_modes import TorsionalModes, measure_torsional_modes
from sim.motion.motion import Reference


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """What no single state decides."""

    torques: ShaftTorques  # what can reach the shafts
    sizing: Sizing  # what joints are sized by
    tubes: tuple[TubeStrength, ...]  # how the tubes stand it
    ratings: tuple[JointRating, ...]  # what the joints stand for short
    lives: JointLives  # how long the joint bearings live under the duty
    modes: TorsionalModes  # torsional natural frequencies
    unbalance: tuple[ResidualUnbalance, ...]  # what every shaft may keep of unbalance


def measure_strength(numbers: Numbers, reference: Reference, fastest: float) -> Strength:
    """Return what the driveline of one design must carry, up to its fastest [rad/s]."""
    configuration, length = numbers.configuration, reference.length
    torques = shaft_torques(configuration)
    return Strength(
        torques=torques,
        sizing=sizing_torques(configuration),
        tubes=tube_strengths(configuration, length, torques.most),
        ratings=joint_ratings(configuration),
        lives=measure_lives(numbers),
        modes=measure_torsional_modes(configuration, length),
        unbalance=measure_balance(configuration, fastest),
    )
