"""Torque that reaches the shafts, and what tubes make of it: shear, twist, yield, buckling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.motion.torque import (
    AXLE_EFFICIENCY,
    engine_limited_shaft,
    tire_limited_wheel,
    torque_loads,
)
from sim.scene.materials import MATERIALS
from sim.scene.parts import Configuration, Tube

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShaftTorques:
    """What can reach the shafts [N m], each None where the scene does not say.

    Attributes:
        engine: From the engine in first gear, high range.
        low_range: The same in low range.
        tires: What the tires hold, at the shaft.
        case, case_name: Largest torque of the torque cases, either way, and its name.
        most, most_name: What the shafts must carry: the largest of the cases and of the lesser of
            low range and tires; and why.
    """

    engine: float | None
    low_range: float | None
    tires: float | None
    case: float
    case_name: str
    most: float
    most_name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeStrength:
    """How a tube stands the most torque that can reach it.

    Attributes:
        shaft: Number of the shaft, from 1.
        yield_stress: That was used [Pa].
        certified: Whether the scene gives it.
        yield_torque: At which its outside begins to yield [N m].
        buckling_torque: At which a perfect tube would buckle [N m].
        shear: Shear stress at its outside under the most torque [Pa].
        stiffness: Torque per twist over its length [N m/rad].
        twist: Under the most torque [rad].
    """

    shaft: int
    yield_stress: float
    certified: bool
    yield_torque: float
    buckling_torque: float
    shear: float
    stiffness: float
    twist: float

    @property
    def carries(self) -> float:
        """Torque at which the tube yields or buckles, whichever comes first [N m]."""
        return min(self.yield_torque, self.buckling_torque)


def polar_moment(outside: ArrayLike, inside: ArrayLike) -> Array:
    r"""Return the polar second moment of area of a round tube.

    .. math:: J = \pi (D^4 - d^4) / 32

    Args:
        outside: Outside diameter D [m].
        inside: Inside diameter d [m]; 0 for a solid bar.

    Returns:
        J [m⁴].

    Source:
        Brown University ENGN0310 course notes, torsion; MecMovies M06.23 (Philpot).
    """
    return np.asarray(np.pi / 32 * (np.asarray(outside, float) ** 4 - np.asarray(inside) ** 4))


def shear_stress(torque: ArrayLike, outside: ArrayLike, polar: ArrayLike) -> Array:
    r"""Return the shear stress at the outside of a tube.

    .. math:: \tau = T D / (2 J)

    Args:
        torque: T [N m].
        outside: Outside diameter D [m].
        polar: Polar second moment J [m⁴].

    Returns:
        τ [Pa], while the material is elastic.

    Source:
        Brown University ENGN0310 course notes, torsion.
    """
    return np.asarray(np.asarray(torque, float) * outside / (2 * np.asarray(polar, float)))


def torsional_stiffness(shear_modulus: ArrayLike, polar: ArrayLike, length: ArrayLike) -> Array:
    r"""Return torque per twist of a tube.

    .. math:: k = G J / L

    Args:
        shear_modulus: G [Pa].
        polar: Polar second moment J [m⁴].
        length: L [m].

    Returns:
        k [N m/rad].

    Source:
        Brown University ENGN0310 course notes, torsion.
    """
    return np.asarray(np.asarray(shear_modulus, float) * polar / np.asarray(length, float))


def yield_torque(yield_stress: ArrayLike, outside: ArrayLike, polar: ArrayLike) -> Array:
    r"""Return the torque at which the outside of a tube begins to yield, by von Mises.

    .. math:: T = (S_y / \sqrt{3}) \, 2 J / D

    Args:
        yield_stress: In tension, S_y [Pa].
        outside: Outside diameter D [m].
        polar: Polar second moment J [m⁴].

    Returns:
        T [N m].

    Source:
        Von Mises' condition for pure shear, any handbook of strength of materials.
    """
    return np.asarray(
        np.asarray(yield_stress, float) / np.sqrt(3) * 2 * polar / np.asarray(outside, float)
    )


def buckling_torque(
    outside: ArrayLike, wall: ArrayLike, young: ArrayLike, poisson: ArrayLike
) -> Array:
    r"""Return the torque at which a long thin tube would buckle, elastic and perfect.

    .. math:: T = 2 \pi r^2 t \frac{E}{3 \sqrt{2} (1 - \nu^2)^{3/4}} (t/r)^{3/2}

    Args:
        outside: Outside diameter [m]; r is the mean radius.
        wall: Wall t [m], thin against r.
        young: Young's modulus E [Pa].
        poisson: Poisson's ratio ν [-].

    Returns:
        T [N m].  A real tube, out of round, buckles earlier.

    Source:
        From memory: Timoshenko and Gere, Theory of Elastic Stability; as used in papers on
        composite drive shafts.
    """
    t = np.asarray(wall, float)
    r = (np.asarray(outside, float) - t) / 2
    stress = young / (3 * np.sqrt(2) * (1 - np.asarray(poisson) ** 2) ** 0.75) * (t / r) ** 1.5
    return np.asarray(2 * np.pi * r**2 * t * stress)


def shaft_torques(configuration: Configuration) -> ShaftTorques:
    """Return what can reach the shafts of a configuration.

    Args:
        configuration: Its vehicle and torque cases.

    Returns:
        Torques at steady pull; a dropped clutch gives more.
    """
    vehicle = configuration.vehicle
    engine, wheel = engine_limited_shaft(configuration), tire_limited_wheel(configuration)
    low = None if engine is None else engine * vehicle.low_range
    tires = None if wheel is None else wheel / (vehicle.axle_ratio * AXLE_EFFICIENCY)
    hardest = max(torque_loads(configuration), key=lambda load: abs(load.shaft_torque))
    case = abs(hardest.shaft_torque)
    reasons = []
    if low is not None:
        gear = "first gear, low range" if vehicle.low_range > 1 else "first gear"
        reasons.append((low, f"{gear}, full engine torque"))
    if tires is not None:
        reasons.append((tires, "a pull at the limit of the tires"))
    most, why = max([(case, hardest.name), *([min(reasons)] if reasons else [])])
    return ShaftTorques(
        engine=engine,
        low_range=low,
        tires=tires,
        case=case,
        case_name=hardest.name,
        most=most,
        most_name=why,
    )


def tube_strengths(
    configuration: Configuration, length: ArrayLike, torque: float
) -> tuple[TubeStrength, ...]:
    """Return how every tube stands a torque.

    Args:
        configuration: Its shafts.
        length: Joint center to joint center of every shaft [m], shape (N,); the whole of it is
            taken as tube.
        torque: The most that can reach the shafts [N m].

    Returns:
        One strength per shaft.
    """
    return tuple(
        _strength(number, shaft.tube, float(long), torque)
        for number, (shaft, long) in enumerate(
            zip(configuration.shafts, np.asarray(length, float), strict=True), start=1
        )
    )


def _strength(number: int, tube: Tube, length: float, torque: float) -> TubeStrength:
    """Return how one tube stands a torque."""
    material = MATERIALS[tube.material]
    stress = material.yield_stress if tube.yield_stress is None else tube.yield_stress
    polar = polar_moment(tube.outside, tube.inside)
    stiffness = float(torsional_stiffness(material.shear, polar, length))
    return TubeStrength(
        shaft=number,
        yield_stress=stress,
        certified=tube.yield_stress is not None,
        yield_torque=float(yield_torque(stress, tube.outside, polar)),
        buckling_torque=float(
            buckling_torque(tube.outside, tube.wall, material.young, material.poisson)
        ),
        shear=float(shear_stress(torque, tube.outside, polar)),
        stiffness=stiffness,
        twist=torque / stiffness,
    )
