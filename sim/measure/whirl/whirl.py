"""Whirl of a whole driveline: its modes told apart, and the critical speed of every shaft."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.measure.torsion import MATERIALS
from sim.measure.whirl.beam import Section, round_section
from sim.measure.whirl.crossings import (
    HALF_BAND,
    Crossing,
    engine_limited_speed,
    find_crossings,
    road_speed,
)
from sim.measure.whirl.modes import Modes, Piece, Span, chain_modes
from sim.scene.parts import Configuration, Tube

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WhirlMode:
    """One way in which the whole driveline swings sideways.

    Attributes:
        frequency: Natural frequency [rad/s].
        kind: "bounce" where more than half of its strain energy is in the rubber of the center
            bearings, else "bending".
        shaft: Number of the shaft whose tube bends most, from 1.
        in_rubber: Share of its strain energy in the rubber [-].
        place: From the first joint along the shafts [m], shape (P,).
        deflection: Sideways there, largest 1, shape (P,).
    """

    frequency: float
    kind: Literal["bounce", "bending"]
    shaft: int
    in_rubber: float
    place: Array
    deflection: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class ShaftWhirl:
    """Critical speed of one shaft by the beam model.

    Attributes:
        shaft: Its number, from 1.
        mode: Number of the mode that is its own, from 1: the first bending mode in which its tube
            takes its part.
        speed: Critical shaft speed, bearings in their rubber [rad/s].
        rigid_speed: The same with rigid bearings [rad/s].
        road_speed: Road speed at the critical speed [m/s].
        safe_road_speed: Road speed at the safe share of it [m/s].
        half_band: Road speeds about half of it, where twice-per-turn shake meets it [m/s].
    """

    shaft: int
    mode: int
    speed: float
    rigid_speed: float
    road_speed: float
    safe_road_speed: float
    half_band: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Whirl:
    """Whirl of a driveline.

    Attributes:
        modes: Slowest first, up to the last one that is some shaft's own.
        shafts: One a shaft.
        crossings: Of first and second order with these modes, up to 1.2 times top speed.
        engine_speed: Highest shaft speed that the engine can give in top gear [rad/s], or None.
    """

    modes: tuple[WhirlMode, ...]
    shafts: tuple[ShaftWhirl, ...]
    crossings: tuple[Crossing, ...]
    engine_speed: float | None


def measure_whirl(configuration: Configuration, length: ArrayLike) -> Whirl:
    """Return how all shafts of a configuration whirl together.

    Timoshenko beams, hinged at every joint, held at output and pinion, hung in the rubber of the
    center bearings; what a shaft weighs beyond its tube sits at its two ends.  Left out: gyroscopic
    moments (slender shafts), damping, torque, tilting of the yokes, give of gearbox and axle.

    Args:
        configuration: Gives tubes, masses, bearings, spline and vehicle.
        length: Joint center to joint center of every shaft [m], shape (N,).

    Returns:
        Modes, critical speeds and crossings.
    """
    vehicle, share = configuration.vehicle, configuration.limits.safe_share
    long = [float(value) for value in np.asarray(length, float)]
    soft = chain_modes(_spans(configuration, long, rubber=True))
    hard = (
        chain_modes(_spans(configuration, long, rubber=False)) if configuration.bearings else soft
    )
    shafts = []
    for number in range(len(long)):
        own = own_mode(soft, number)
        speed = float(soft.frequency[own])
        road = road_speed(vehicle, speed)
        shafts.append(
            ShaftWhirl(
                shaft=number + 1,
                mode=own + 1,
                speed=speed,
                rigid_speed=float(hard.frequency[own_mode(hard, number)]),
                road_speed=road,
                safe_road_speed=share * road,
                half_band=(HALF_BAND[0] * road, HALF_BAND[1] * road),
            )
        )
    modes = tuple(_mode(soft, k) for k in range(max(shaft.mode for shaft in shafts)))
    return Whirl(
        modes=modes,
        shafts=tuple(shafts),
        crossings=find_crossings(vehicle, (mode.frequency for mode in modes)),
        engine_speed=engine_limited_speed(vehicle),
    )


def own_mode(modes: Modes, span: int) -> int:
    """Return the index of the first bending mode in which a span takes its part.

    That is the first with more than half of the strain energy in the tubes, and with at least an
    even share of that in this span; without one, the mode in which the span has most.

    Args:
        modes: Of the row.
        span: Index of the span.
    """
    tubes = modes.in_spans.sum(axis=1)
    part = modes.in_spans[:, span]
    fits = (tubes > 0.5) & (part >= tubes / modes.in_spans.shape[1] * (1 - 1e-6))
    return int(np.argmax(fits) if fits.any() else np.argmax(part))


def _mode(modes: Modes, k: int) -> WhirlMode:
    """Return one mode with its name."""
    return WhirlMode(
        frequency=float(modes.frequency[k]),
        kind="bounce" if modes.in_supports[k] > 0.5 else "bending",
        shaft=int(np.argmax(modes.in_spans[k])) + 1,
        in_rubber=float(modes.in_supports[k]),
        place=modes.place,
        deflection=modes.deflection[k],
    )


def _spans(configuration: Configuration, long: list[float], rubber: bool) -> tuple[Span, ...]:
    """Return the shafts as beams, bearings in their rubber or rigid."""
    spans = []
    for number, (shaft, length) in enumerate(zip(configuration.shafts, long, strict=True)):
        pieces = _pieces(configuration, number, length)
        beams = sum(piece.length * piece.section.line_mass for piece in pieces)
        yoke = max(shaft.mass - beams, 0.0) / 2
        hung = configuration.bearings[number] if number < len(configuration.bearings) else None
        spans.append(
            Span(
                pieces=pieces,
                front_mass=yoke,
                rear_mass=yoke,
                hung_at=None if hung is None else length - hung.to_joint,
                hung_by=hung.radial if hung is not None and rubber else math.inf,
            )
        )
    return tuple(spans)


def _pieces(configuration: Configuration, number: int, length: float) -> tuple[Piece, ...]:
    """Return the tube, and the splined bar where its diameter is known.

    A midship stub reaches from the bearing to the joint behind it.  Inside the last shaft the
    spline is taken to be at its front end.  Its sleeve is left out.
    """
    shaft, spline = configuration.shafts[number], configuration.spline
    tube, last = _section(shaft.tube), len(configuration.shafts) - 1
    if spline.diameter is not None and spline.at == "midship" and number == last - 1:
        stub = configuration.bearings[number].to_joint
        return (
            Piece(length=length - stub, section=tube),
            Piece(length=stub, section=_bar(spline.diameter)),
        )
    if spline.diameter is not None and spline.at == "shaft" and number == last:
        bar = min(spline.engaged, length / 2)
        return (
            Piece(length=bar, section=_bar(spline.diameter)),
            Piece(length=length - bar, section=tube),
        )
    return (Piece(length=length, section=tube),)


def _section(tube: Tube) -> Section:
    """Return the cross section of a tube."""
    material = MATERIALS[tube.material]
    return round_section(
        tube.outside, tube.inside, material.young, material.poisson, material.density
    )


def _bar(diameter: float) -> Section:
    """Return the cross section of a splined steel bar."""
    steel = MATERIALS["steel"]
    return round_section(diameter, 0.0, steel.young, steel.poisson, steel.density)
