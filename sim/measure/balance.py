"""Residual unbalance that a shaft may keep, and the force with which it turns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.scene.parts import Configuration

GRADES = (0.016, 0.040)  # [m/s]: G16 drive shafts; G40 drive shafts of cars (ISO 21940-11)


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualUnbalance:
    """What one shaft may keep at its highest speed."""

    shaft: int  # number of the shaft, from 1
    mass: float  # of the shaft with yokes [kg]
    speed: float  # highest shaft speed [rad/s]
    g16: float  # permissible residual unbalance of the whole shaft [kg m]
    g40: float  # the same; half for each end


def permissible_unbalance(grade: ArrayLike, mass: ArrayLike, speed: ArrayLike) -> Array:
    r"""Return the residual unbalance that a grade permits.

    .. math:: U = G m / \Omega

    With the grade G [m/s] (G16 is 0.016), mass m [kg] and highest speed Ω [rad/s]: U of the whole
    rotor [kg m], 1 kg m being 10⁶ g mm; half for each of two alike planes.

    Source:
        ISO 21940-11: e Ω = G.
    """
    return np.asarray(np.asarray(grade, float) * mass / np.asarray(speed, float))


def unbalance_force(unbalance: ArrayLike, speed: ArrayLike) -> Array:
    r"""Return the force that an unbalance turns with.

    .. math:: F = U \Omega^2

    Unbalance U [kg m] and speed Ω [rad/s] give F [N].

    Source:
        Statics of a turning mass.
    """
    return np.asarray(np.asarray(unbalance, float) * np.asarray(speed, float) ** 2)


def measure_balance(configuration: Configuration, speed: float) -> tuple[ResidualUnbalance, ...]:
    """Return the residual unbalance that every shaft may keep at its highest speed [rad/s]."""
    return tuple(
        ResidualUnbalance(
            shaft=number,
            mass=shaft.mass,
            speed=speed,
            g16=float(permissible_unbalance(GRADES[0], shaft.mass, speed)),
            g40=float(permissible_unbalance(GRADES[1], shaft.mass, speed)),
        )
        for number, shaft in enumerate(configuration.shafts, start=1)
    )


def bearing_unbalance(
    configuration: Configuration,
    unbalance: tuple[ResidualUnbalance, ...],
    speed: ArrayLike,
    lever: ArrayLike,
) -> Array:
    """Return the once-per-turn force on every bearing at G16 and at G40 [N], (S, B, 2).

    Both shafts' unbalance is on one side. Half of it is at each end of a shaft; those of the two
    shafts that meet behind a bearing are taken at the joint there, by the lever (front joint to
    rear joint over front joint to bearing [-], (B,)). Speeds are of the states [rad/s], (S,).
    """
    ends = np.array([[part.g16 / 2, part.g40 / 2] for part in unbalance])
    at_bearing = (ends[:-1] + ends[1:]) * np.asarray(lever, float)[:, None]
    assert len(at_bearing) == len(configuration.bearings)
    return unbalance_force(at_bearing, np.asarray(speed, float)[:, None, None])
