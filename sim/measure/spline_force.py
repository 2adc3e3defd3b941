"""Axial force that a spline holds by friction while it carries torque."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.motion.motion import Motion

FRICTION = {"greased steel": 0.11, "plastic coated": 0.08}  # GWB p. 47, Dana industrial 003


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
