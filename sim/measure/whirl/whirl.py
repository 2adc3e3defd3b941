"""Whirl of a whole driveline: its modes told apart, and the critical speed of every shaft."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array, Index
from sim.measure.whirl.beam import Section, round_section
from sim.measure.whirl.crossings import (
    HALF_BAND,
    Crossing,
    engine_limited_speed,
    find_crossings,
    road_speed,
)
from sim.measure.whirl.modes import Modes, Piece, Span, chain_modes, swing
from sim.scene.materials import MATERIALS
from sim.scene.parts import Configuration

STUB_BUBBLES = 2  # of a stub or a splined bar, short against its tube
LEAST_STUB = 1e-3  # [m]; beams still shorter lose their digits


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WhirlMode:
    """One way in which the whole driveline swings sideways."""

    frequency: float  # natural frequency [rad/s]
    # "bounce" where more than half of its strain energy is in the rubber of the center bearings,
    # else "bending"
    kind: Literal["bounce", "bending"]
    shaft: int  # number of the shaft whose tube bends most, from 1
    in_rubber: float  # share of its strain energy in the rubber [-]
    place: Array  # from the first joint along the shafts [m], (P,)
    deflection: Array  # sideways there, largest 1, (P,)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShaftWhirl:
    """Critical speed of one shaft by the beam model."""

    shaft: int  # its number, from 1
    # number of the mode that is its own, from 1: the first bending mode in which its tube takes its
    # part
    mode: int
    speed: float  # critical shaft speed, bearings in their rubber [rad/s]
    rigid_speed: float  # the same with rigid bearings [rad/s]
    road_speed: float  # road speed at the critical speed [m/s]
    safe_road_speed: float  # road speed at the safe share of it [m/s]
    half_band: tuple[float, float]  # road speeds where twice-per-turn shake meets it [m/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Whirl:
    """Whirl of a driveline."""

    modes: tuple[WhirlMode, ...]  # slowest first, up to the last one that is some shaft's own
    shafts: tuple[ShaftWhirl, ...]  # one a shaft
    crossings: tuple[Crossing, ...]  # of both orders, up to 1.2 times top speed
    engine_speed: float | None  # most in the shafts in top gear [rad/s]


def measure_whirl(configuration: Configuration, length: ArrayLike) -> Whirl:
    """Return how all shafts of a configuration whirl together.

    Timoshenko beams, hinged at every joint, held at output and pinion, hung in the rubber of the
    center bearings; what a shaft weighs beyond its tube sits at its two ends.  Left out: gyroscopic
    moments (slender shafts), damping, torque, tilting of the yokes, give of gearbox and axle.

    Of lengths joint center to joint center [m], (N,).
    """
    vehicle, share = configuration.vehicle, configuration.limits.safe_share
    spans = spans_of(configuration, np.asarray(length, float), rubber=True)
    soft = chain_modes(spans)
    hard = soft
    if configuration.bearings:
        hard = chain_modes(spans_of(configuration, np.asarray(length, float), rubber=False))
    shafts: list[ShaftWhirl] = []
    for own, speed, rigid in zip(
        own_modes(soft)[0], shaft_speeds(soft)[0], shaft_speeds(hard)[0], strict=True
    ):
        road = road_speed(vehicle, float(speed))
        shafts.append(
            ShaftWhirl(
                shaft=len(shafts) + 1,
                mode=int(own) + 1,
                speed=float(speed),
                rigid_speed=float(rigid),
                road_speed=road,
                safe_road_speed=share * road,
                half_band=(HALF_BAND[0] * road, HALF_BAND[1] * road),
            )
        )
    modes = _named(soft, *swing(spans, soft))[: max(shaft.mode for shaft in shafts)]
    return Whirl(
        modes=modes,
        shafts=tuple(shafts),
        crossings=find_crossings(vehicle, (mode.frequency for mode in modes)),
        engine_speed=engine_limited_speed(vehicle),
    )


def row_modes(configuration: Configuration, length: Array) -> Modes:
    """Return the modes of designs with shafts so long [m], (B, N), bearings in their rubber."""
    return chain_modes(spans_of(configuration, length, rubber=True))


def own_modes(modes: Modes) -> Index:
    """Return the index of the first bending mode in which each span takes its part, (B, N).

    That is the first with more than half of the strain energy in the tubes, and with at least an
    even share of that in this span; without one, the mode in which the span has most.
    """
    return _first(modes.in_spans)


def shaft_speeds(modes: Modes) -> Array:
    """Return the critical speed of every shaft [rad/s], shape (B, N)."""
    return np.take_along_axis(modes.frequency, own_modes(modes), axis=1)


def bearing_modes(modes: Modes) -> Array:
    """Return the frequency at which every bearing bounces on its rubber [rad/s], shape (B, N − 1).

    That is the first mode with more than half of the strain energy in the rubber, and with at least
    an even share of that in this bearing; without one, the mode in which the bearing has most.
    """
    return np.take_along_axis(modes.frequency, _first(modes.in_springs), axis=1)


def _first(part: Array) -> Index:
    """Return the first mode in which each of some parts leads, (B, parts), of (B, K, parts)."""
    whole = part.sum(axis=-1, keepdims=True)
    leads = (whole > 0.5) & (part >= whole / max(part.shape[-1], 1) * (1 - 1e-6))
    return np.asarray(np.where(leads.any(axis=1), leads.argmax(axis=1), part.argmax(axis=1)))


def _named(modes: Modes, place: Array, deflection: Array) -> tuple[WhirlMode, ...]:
    """Return the modes of the first row with their names and shapes."""
    in_rubber = modes.in_supports[0].tolist()
    return tuple(
        WhirlMode(
            frequency=float(frequency),
            kind="bounce" if in_rubber[k] > 0.5 else "bending",
            shaft=int(np.argmax(modes.in_spans[0, k])) + 1,
            in_rubber=in_rubber[k],
            place=place,
            deflection=deflection[k],
        )
        for k, frequency in enumerate(modes.frequency[0])
    )


def spans_of(configuration: Configuration, length: Array, rubber: bool) -> tuple[Span, ...]:
    """Return the shafts as beams, bearings in their rubber or rigid; lengths (..., N)."""
    spans = []
    for number, shaft in enumerate(configuration.shafts):
        pieces = _pieces(configuration, number, length[..., number])
        beams = sum(piece.length * piece.section.line_mass for piece in pieces)
        yoke = np.maximum(shaft.mass - beams, 0.0) / 2
        hung = configuration.bearings[number] if number < len(configuration.bearings) else None
        spans.append(
            Span(
                pieces=pieces,
                front_mass=yoke,
                rear_mass=yoke,
                hung_behind=None if hung is None else 1,
                hung_by=hung.radial if hung is not None and rubber else math.inf,
            )
        )
    return tuple(spans)


def _pieces(configuration: Configuration, number: int, length: Any) -> tuple[Piece, ...]:
    """Return a shaft from its front joint to its rear joint, its stub behind the bearing last.

    The stub of a midship spline is a splined bar where its diameter is known, else as its tube.
    Inside the last shaft the spline is taken to be at its front end.  Its sleeve is left out.
    """
    spline, last = configuration.spline, len(configuration.shafts) - 1
    made = configuration.shafts[number].tube
    tube = _section(made.material, made.outside, made.inside)
    bar = None if spline.diameter is None else _section("steel", spline.diameter, 0.0)
    if number < last:
        to_joint = configuration.bearings[number].to_joint
        if not np.any(to_joint):
            return (Piece(length=length, section=tube),)
        stub = np.maximum(to_joint, LEAST_STUB)
        splined = spline.at == "midship" and number == last - 1
        behind = bar if splined and bar is not None else tube
        return (
            Piece(length=np.maximum(length - stub, LEAST_STUB), section=tube),
            Piece(length=stub, section=behind, bubbles=STUB_BUBBLES),
        )
    if bar is not None and spline.at == "shaft":
        inside = np.minimum(spline.engaged, length / 2)
        return (
            Piece(length=inside, section=bar, bubbles=STUB_BUBBLES),
            Piece(length=length - inside, section=tube),
        )
    return (Piece(length=length, section=tube),)


def _section(material: str, outside: float, inside: float) -> Section:
    """Return the cross section of a tube, or of a bar without an inside."""
    of = MATERIALS[material]
    return round_section(outside, inside, of.young, of.poisson, of.density)
