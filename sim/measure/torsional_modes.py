"""Torsional natural frequencies of the driveline, and where the joints' shake meets them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.measure.torsion import polar_moment, torsional_stiffness
from sim.measure.whirl.crossings import road_speed
from sim.scene.materials import MATERIALS
from sim.scene.parts import Configuration


@dataclass(frozen=True, slots=True, kw_only=True)
class TorsionalMode:
    """One natural frequency."""

    frequency: float  # [rad/s]
    shaft_speed: float  # at which the joints' twice-per-turn shake meets it [rad/s]
    road_speed: float  # the same as road speed [m/s]
    engine_speed: float  # of the engine there, in the gear looked at [rad/s]
    reached: bool  # whether engine and top speed let the vehicle get there in that gear


@dataclass(frozen=True, slots=True, kw_only=True)
class TorsionalModes:
    """All of them, or what is missing to find them (keys of [torsion])."""

    missing: tuple[str, ...]
    modes: tuple[TorsionalMode, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rotors:
    """Rotors in a row from the engine to the axle: one at every joint, tubes between them.

    The engine turns with the shafts through the gear, the tubes twist between the joints with half
    of their inertia at each end, and the half shafts tie the axle to wheels that the road holds.
    Left out: inertia of yokes and gearbox, give of the tires, engine mounts.
    """

    inertia: Array  # of every rotor, as the shafts see it [kg m²], (..., J)
    stiffness: Array  # of every tube [N m/rad], (..., N)
    held: Any  # what ties the last rotor to the ground [N m/rad], (...)


def rotors_of(configuration: Configuration, length: ArrayLike) -> Rotors | None:
    """Return the rotors with shafts so long [m], (..., N); None where keys of [torsion] miss."""
    given = configuration.torsion
    if (
        given.engine_inertia is None
        or given.axle_inertia is None
        or given.half_shaft_stiffness is None
        or given.gear is None
    ):
        return None
    long = np.asarray(length, float)
    stiffness, tubes = np.empty(long.shape), np.empty(long.shape)
    for number, shaft in enumerate(configuration.shafts):
        material = MATERIALS[shaft.tube.material]
        polar = polar_moment(shaft.tube.outside, shaft.tube.inside)
        stiffness[..., number] = torsional_stiffness(material.shear, polar, long[..., number])
        tubes[..., number] = material.density * polar * long[..., number]
    inertia = np.zeros((*long.shape[:-1], long.shape[-1] + 1))
    inertia[..., :-1] += tubes / 2
    inertia[..., 1:] += tubes / 2
    inertia[..., 0] += np.asarray(given.engine_inertia * given.gear**2)
    inertia[..., -1] += np.asarray(given.axle_inertia)
    held = given.half_shaft_stiffness / np.square(configuration.vehicle.axle_ratio)
    return Rotors(inertia=inertia, stiffness=stiffness, held=held)


def chain_frequencies(inertia: ArrayLike, stiffness: ArrayLike, held: float = 0.0) -> Array:
    """Return the torsional natural frequencies of rotors in a row.

    Inertia of every rotor [kg m²], (n,), stiffness between them [N m/rad], (n − 1,), and that which
    ties the last one to the ground [N m/rad] (0 leaves the row free, its first frequency 0) give
    rising frequencies [rad/s], (n,).

    Source:
        Lumped rotors without damping: any handbook of vibration.
    """
    mass, spring = np.asarray(inertia, float), np.asarray(stiffness, float)
    tie = np.zeros((len(mass), len(mass)))
    here = np.arange(len(spring))
    tie[here, here] += spring
    tie[here + 1, here + 1] += spring
    tie[here, here + 1] -= spring
    tie[here + 1, here] -= spring
    tie[-1, -1] += held
    root = np.sqrt(mass)
    squares = np.linalg.eigvalsh(tie / root[:, None] / root)
    return np.asarray(np.sqrt(np.clip(squares, 0, None)))


def measure_torsional_modes(configuration: Configuration, length: ArrayLike) -> TorsionalModes:
    """Return the torsional natural frequencies in the gear that the scene names, see ``Rotors``.

    Of lengths [m], (N,).
    """
    given, rotors = configuration.torsion, rotors_of(configuration, length)
    if rotors is None or given.gear is None:
        return TorsionalModes(missing=given.missing)
    found = chain_frequencies(rotors.inertia, rotors.stiffness, rotors.held)
    return TorsionalModes(
        missing=(), modes=tuple(_mode(configuration, float(f), given.gear) for f in found)
    )


def _mode(configuration: Configuration, frequency: float, gear: float) -> TorsionalMode:
    """Return a natural frequency with the speeds at which twice the shaft speed is equal to it."""
    vehicle, speed = configuration.vehicle, frequency / 2
    road = road_speed(vehicle, speed)
    engine = speed * gear
    held = vehicle.engine_cut_off is not None and engine > vehicle.engine_cut_off
    return TorsionalMode(
        frequency=frequency,
        shaft_speed=speed,
        road_speed=road,
        engine_speed=engine,
        reached=road <= vehicle.top_speed and not held,
    )
