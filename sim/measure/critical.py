"""Bending critical speed of a tubular shaft: simple form, rigid supports, even tube."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.measure.measurements import CriticalSpeed
from sim.measure.whirl.crossings import road_speed
from sim.scene.materials import MATERIALS
from sim.scene.parts import Configuration
from sim.units import MINUTE, TURN

STEEL = 1.21e8 / 1000  # [rpm m]; published with mm: IMS Ltd, technical data, critical speeds
ALUMINUM = MATERIALS["aluminum"]

FORMULAS = {
    "steel": "1.21e8 √(D² + d²)/L² rpm, in mm (IMS Ltd, technical data, critical speeds)",
    "aluminum": "7.5 π √(E/ρ) √(D² + d²)/L² rpm (uniform beam on pinned ends), "
    f"{ALUMINUM.young / 1e9:g} GPa, {ALUMINUM.density:g} kg/m³",
}


def beam_constant(modulus: float, density: float) -> float:
    r"""Return the constant of a pinned uniform beam whose first bending speed is asked for.

    .. math:: C = 7.5 \pi \sqrt{E/\rho}

    Of Young's modulus [Pa] and density [kg/m³]: C of ``critical_speed`` [rpm m].

    Source:
        Euler-Bernoulli beam, first mode: any handbook of vibration.
    """
    return float(7.5 * np.pi * np.sqrt(modulus / density))


def critical_speed(
    outside: ArrayLike, inside: ArrayLike, length: ArrayLike, constant: float = STEEL
) -> Array:
    r"""Return the critical speed of a tube between two joints.

    .. math:: n = C \sqrt{D^2 + d^2} / L^2

    Outside and inside diameter D, d and length L between the joints [m] broadcast, C is in [rpm m];
    speeds are [rad/s].

    Source:
        IMS Ltd, technical data, critical speeds (steel, mm: C = 1.21e8).
    """
    root = np.hypot(np.asarray(outside, float), np.asarray(inside, float))
    return np.asarray(TURN / MINUTE * constant * root / np.asarray(length, float) ** 2)


def critical_speeds(configuration: Configuration, length: ArrayLike) -> Array:
    """Return the critical speed of every shaft [rad/s], (..., N), of lengths [m], (..., N)."""
    long = np.moveaxis(np.asarray(length, float), -1, 0)
    tubes = [shaft.tube for shaft in configuration.shafts]
    light = beam_constant(ALUMINUM.young, ALUMINUM.density)
    constant = {"steel": STEEL, "aluminum": light}
    return np.stack(
        [
            critical_speed(tube.outside, tube.inside, reach, constant[tube.material])
            for tube, reach in zip(tubes, long, strict=True)
        ],
        axis=-1,
    )


def measure_critical_speeds(
    configuration: Configuration, length: ArrayLike
) -> tuple[CriticalSpeed, ...]:
    """Return the critical speed of every shaft at its longest [m], (N,), and its road speeds."""
    vehicle, share = configuration.vehicle, configuration.limits.safe_share
    found = []
    speeds = critical_speeds(configuration, length).tolist()
    for number, (shaft, long, speed) in enumerate(
        zip(configuration.shafts, np.asarray(length, float).tolist(), speeds, strict=True), start=1
    ):
        road = road_speed(vehicle, speed)
        found.append(
            CriticalSpeed(
                shaft=number,
                length=long,
                speed=speed,
                road_speed=road,
                safe_road_speed=share * road,
                half_road_speed=road / 2,
                formula=FORMULAS[shaft.tube.material],
            )
        )
    return tuple(found)
