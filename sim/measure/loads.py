"""Loads of a state: couples at the joints, load of the bearings, friction of the spline."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.measure.balance import ResidualUnbalance, bearing_unbalance
from sim.measure.bearing_load import BearingLoads, measure_bearing_loads
from sim.measure.couples import joint_moments
from sim.motion.motion import Motion
from sim.motion.states import State

FRICTION = {"greased steel": 0.11, "plastic coated": 0.08}  # GWB p. 47, Dana industrial 003
LEAST_SAMPLES = 32  # in a half turn: a twice-per-turn peak is read to half a percent


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loads:
    """What is felt in every state, B bearings."""

    driving_couple: Array  # largest over a turn that bends the member ahead [N m], (S, J)
    driven_couple: Array  # the same of the member behind every joint [N m], (S, J)
    bearing: BearingLoads  # load of the center bearings by torque and weight
    unbalance: Array  # once-per-turn force on the bearings at G16 and G40 [N], (S, B, 2)
    spline: Array | None  # axial force that the spline holds by friction [N], (S,), or None


def measure_loads(
    motion: Motion,
    count: int,
    speed: Array,
    unbalance: tuple[ResidualUnbalance, ...],
    spline: Array | None,
) -> Loads:
    """Return the loads of every state, the shafts as if without inertia of their own.

    The first ``count`` turn angles cover whole half turns; speeds of the states [rad/s], (S,).
    """
    samples = _samples(motion, count)
    moments = joint_moments(motion, samples)
    return Loads(
        driving_couple=moments.on_driving.max(axis=1),
        driven_couple=moments.on_driven.max(axis=1),
        bearing=measure_bearing_loads(motion, moments, samples, _ride(motion.states)),
        unbalance=bearing_unbalance(motion.configuration, unbalance, speed, _lever(motion)),
        spline=spline,
    )


def spline_friction(torque: ArrayLike, friction: float, angle: ArrayLike, diameter: float) -> Array:
    r"""Return the axial force with which a spline under torque resists sliding.

    .. math:: F = T \mu \cos\beta / r_m

    Torque T [N m], friction μ [-], the joint angle beside it β [rad] and the mean diameter of its
    teeth [m], twice r_m, give F [N].

    Source:
        Spicer GWB, Driveshafts for Industrial Applications, p. 47; Dana industrial catalogue.
    """
    return np.asarray(np.abs(torque) * friction * np.cos(angle) / (diameter / 2))


def measure_spline_force(motion: Motion, joint_angle: Array) -> Array | None:
    """Return the axial force of the spline in every state [N], (S,), or None without a diameter."""
    spline = motion.configuration.spline
    if spline.diameter is None:
        return None
    beside = 0 if spline.at == "output" else len(motion.configuration.shafts) - 1
    torque = np.array([state.shaft_torque for state in motion.states])
    friction = FRICTION[spline.coating]
    return spline_friction(torque, friction, joint_angle[:, beside], spline.diameter)


def _samples(motion: Motion, count: int) -> slice:
    """Return samples over one half turn, no more of them than are needed."""
    turn = motion.turn_angle
    step = (turn[0, count - 1] - turn[0, 0]) / (count - 1)
    half = round(np.pi / step)
    skip = next((k for k in (4, 2) if half % k == 0 and half // k >= LEAST_SAMPLES), 1)
    return slice(0, half, skip)


def _ride(states: tuple[State, ...]) -> int:
    """Return the state nearest to ride height without torque."""
    return min(range(len(states)), key=lambda k: (abs(states[k].travel), abs(states[k].roll), k))


def _lever(motion: Motion) -> Array:
    """Return front joint to rear joint over front joint to bearing, (B,)."""
    length, behind = motion.reference.length[:-1], motion.reference.to_joint
    return np.asarray(length / (length - behind))
