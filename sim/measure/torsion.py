"""Torque that reaches the shafts, and what tubes make of it: shear, twist, yield, buckling."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.motion.sweep import most_load, named_heights
from sim.motion.torque import AXLE_EFFICIENCY, engine_limited_shaft, torque_loads
from sim.scene.materials import MATERIALS
from sim.scene.parts import Configuration, Tube


@dataclass(frozen=True, slots=True, kw_only=True)
class ShaftTorques:
    """What can reach the shafts [N m], each None where the scene does not say.

    Many designs have arrays of shape (B,), and the words of the first of them.
    """

    engine: float | None  # from the engine in first gear, high range
    low_range: float | None  # the same in low range
    tires: float | None  # what the tires hold, at the shaft, under the largest load of any height
    # largest torque of the torque cases at any height, either way, and its name
    case: float
    case_name: str
    # what the shafts must carry: the largest of the cases and of the lesser of low range and tires;
    # and why
    most: float
    most_name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeStrength:
    """How a tube stands the most torque that can reach it."""

    shaft: int  # number of the shaft, from 1
    yield_stress: float  # that was used [Pa]
    certified: bool  # whether the scene gives it
    yield_torque: float  # at which its outside begins to yield [N m]
    buckling_torque: float  # at which a perfect tube would buckle [N m]
    shear: float  # shear stress at its outside under the most torque [Pa]
    stiffness: float  # torque per twist over its length [N m/rad]
    twist: float  # under the most torque [rad]

    @property
    def carries(self) -> float:
        """Torque at which the tube yields or buckles, whichever comes first [N m]."""
        return min(self.yield_torque, self.buckling_torque)


def polar_moment(outside: ArrayLike, inside: ArrayLike) -> Array:
    r"""Return the polar second moment of area of a round tube.

    .. math:: J = \pi (D^4 - d^4) / 32

    Outside diameter D and inside diameter d, 0 for a bar [m], give J [m⁴].

    Source:
        Brown University ENGN0310 course notes, torsion; MecMovies M06.23 (Philpot).
    """
    return np.asarray(np.pi / 32 * (np.asarray(outside, float) ** 4 - np.asarray(inside) ** 4))


def shear_stress(torque: ArrayLike, outside: ArrayLike, polar: ArrayLike) -> Array:
    r"""Return the shear stress at the outside of a tube.

    .. math:: \tau = T D / (2 J)

    Torque T [N m], outside diameter D [m] and J [m⁴] give τ [Pa], while the material is elastic.

    Source:
        Brown University ENGN0310 course notes, torsion.
    """
    return np.asarray(np.asarray(torque, float) * outside / (2 * np.asarray(polar, float)))


def torsional_stiffness(shear_modulus: ArrayLike, polar: ArrayLike, length: ArrayLike) -> Array:
    """Return torque per twist of a tube.

    .. math:: k = G J / L

    Shear modulus G [Pa], J [m⁴] and length L [m] give k [N m/rad].

    Source:
        Brown University ENGN0310 course notes, torsion.
    """
    return np.asarray(np.asarray(shear_modulus, float) * polar / np.asarray(length, float))


def yield_torque(yield_stress: ArrayLike, outside: ArrayLike, polar: ArrayLike) -> Array:
    r"""Return the torque at which the outside of a tube begins to yield, by von Mises.

    .. math:: T = (S_y / \sqrt{3}) \, 2 J / D

    Yield stress in tension S_y [Pa], outside diameter D [m] and J [m⁴] give T [N m].

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

    Outside diameter and wall t [m], thin against the mean radius r, Young's modulus E [Pa] and
    Poisson's ratio ν give T [N m]. A real tube, out of round, buckles earlier.

    Source:
        From memory: Timoshenko and Gere, Theory of Elastic Stability; as used in papers on
        composite drive shafts.
    """
    t = np.asarray(wall, float)
    r = (np.asarray(outside, float) - t) / 2
    stress = young / (3 * np.sqrt(2) * (1 - np.asarray(poisson) ** 2) ** 0.75) * (t / r) ** 1.5
    return np.asarray(2 * np.pi * r**2 * t * stress)


def shaft_torques(configuration: Configuration) -> ShaftTorques:
    """Return what can reach the shafts at steady pull; a dropped clutch gives more."""
    vehicle, engine = configuration.vehicle, engine_limited_shaft(configuration)
    loads = [(load, load.name) for load in torque_loads(configuration)]
    loads += [
        (load, f"{height.name}, {load.name}")
        for height in named_heights(configuration)
        if height.axle_load is not None
        for load in torque_loads(configuration, height.axle_load)
        if not height.cases or load.name in height.cases
    ]
    held = torque_loads(configuration, most_load(configuration))[0].tire_limited_wheel
    low = None if engine is None else engine * vehicle.low_range
    tires = None if held is None else held / (vehicle.axle_ratio * AXLE_EFFICIENCY)
    case, case_name = _extreme(
        np.maximum, [(np.abs(load.shaft_torque), name) for load, name in loads]
    )
    gear = "first gear, low range" if np.any(vehicle.low_range > 1) else "first gear"
    reasons = [(low, f"{gear}, full engine torque"), (tires, "a pull at the limit of the tires")]
    known = [(torque, why) for torque, why in reasons if torque is not None]
    limit = [_extreme(np.minimum, known)] if known else []
    most, why = _extreme(np.maximum, [(case, case_name), *limit])
    return ShaftTorques(
        engine=engine,
        low_range=low,
        tires=tires,
        case=case,
        case_name=case_name,
        most=most,
        most_name=why,
    )


def _extreme(pick: np.ufunc, named: Sequence[tuple[Any, str]]) -> tuple[Any, str]:
    """Return the largest or least of some torques, design by design; and its name in the first."""
    torques = np.broadcast_arrays(*[torque for torque, _ in named])
    first = [float(torque.flat[0]) for torque in torques]
    return pick.reduce(torques), named[first.index(pick.reduce(first))][1]


def tube_strengths(
    configuration: Configuration, length: ArrayLike, torque: float
) -> tuple[TubeStrength, ...]:
    """Return how every tube, as long as its shaft [m], stands a torque [N m]."""
    return tuple(
        _strength(number, shaft.tube, float(long), torque)
        for number, (shaft, long) in enumerate(
            zip(configuration.shafts, np.asarray(length, float), strict=True), start=1
        )
    )


def carried_torques(configuration: Configuration) -> Array:
    """Return the torque at which every tube yields or buckles [N m], shape (N,) or (B, N)."""
    torques = [np.minimum(*_carries(shaft.tube)[2:]) for shaft in configuration.shafts]
    return np.stack(np.broadcast_arrays(*torques), axis=-1)


def _carries(tube: Tube) -> tuple[Any, Any, Any, Any]:
    """Return yield stress [Pa], polar moment [m⁴], and the torques [N m] of yield and buckling."""
    material = MATERIALS[tube.material]
    stress = material.yield_stress if tube.yield_stress is None else tube.yield_stress
    polar = polar_moment(tube.outside, tube.inside)
    yields = yield_torque(stress, tube.outside, polar)
    buckles = buckling_torque(tube.outside, tube.wall, material.young, material.poisson)
    return stress, polar, yields, buckles


def _strength(number: int, tube: Tube, length: float, torque: float) -> TubeStrength:
    """Return how one tube stands a torque."""
    stress, polar, yields, buckles = _carries(tube)
    stiffness = float(torsional_stiffness(MATERIALS[tube.material].shear, polar, length))
    return TubeStrength(
        shaft=number,
        yield_stress=stress,
        certified=tube.yield_stress is not None,
        yield_torque=float(yields),
        buckling_torque=float(buckles),
        shear=float(shear_stress(torque, tube.outside, polar)),
        stiffness=stiffness,
        twist=torque / stiffness,
    )
