"""What rules look at, in samples: the same quantities, with samples behind the states."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sim.judge.joint_quantities import RPM, allowed_angle, universal_joints
from sim.judge.part import Array, States
from sim.judge.quantities import KMH, QUANTITIES
from sim.measure.measurements import Measurements
from sim.measure.ripple import half_turn
from sim.measure.spread import Values
from sim.motion.states import State
from sim.scene.parts import Configuration

STRAIGHT = np.deg2rad(0.5)  # as in ``measure``

# Formulas of ``quantities`` that work on samples behind the states as they stand.
ALIKE = (
    "gap", "engaged", "plunge left", "axle wrap", "yokes at their limit",
    "constant velocity joint at its limit", "flexible coupling at its limit", "universal joints",
    "odd joint", "coupling joints", "coupling joints of three or more", "paired joints",
    "constant velocity joints", "lone universal joint", "pair difference",
    "pair difference, one-piece", "pair difference, more pieces", "fluctuation of the pinion",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sampled:
    """Values of one part; samples last.

    Attributes:
        where: The part, as in ``Part``; "" for the only one there is.
        values: In the unit of the rule, shape (L, n).
        limit: Its own limit, shape (L, n), or None where the finding's limit holds.
    """

    where: str
    values: Array
    limit: Array | None = None


def in_samples(m: Measurements, states: tuple[State, ...], values: Values) -> Measurements:
    """Return measurements whose arrays hold samples behind the states.

    Args:
        m: As it was read.
        states: The states that were sampled.
        values: Their samples.

    Returns:
        Measurements in which what was not sampled is as it was read.
    """
    return replace(
        m,
        states=states,
        joint_angle=values.joint_angle,
        wrap=values.wrap,
        slip=values.slip,
        gap=values.gap,
        engaged=values.engaged,
        fluctuation=values.fluctuation,
        shaft_speed=values.shaft_speed,
        slip_limits=(),
    )


def at_ride_height(values: Values) -> Values:
    """Return samples in the first state alone."""
    return Values(**{field.name: getattr(values, field.name)[:1] for field in fields(values)})


def sampled_parts(quantity: str, m: Measurements, v: Values, chosen: States) -> list[Sampled]:
    """Return the values of a quantity in some states, for every part.

    Args:
        quantity: Its name, as in ``quantities.QUANTITIES``.
        m: From ``in_samples``.
        v: The samples.
        chosen: Numbers of the states in which a rule applies.

    Returns:
        Parts; none where the quantity cannot be sampled.
    """
    if quantity in ALIKE:
        parts = QUANTITIES[quantity](m, chosen)
        return [Sampled(where=part.where, values=part.values) for part in parts]
    return OWN[quantity](m, v, chosen) if quantity in OWN else []


def _angle_times_speed(m: Measurements, v: Values, chosen: States) -> list[Sampled]:
    """Speed times angle [rpm deg] against what the speed allows."""
    del v
    turns = chosen[(m.shaft_speed[chosen] > 0).all(axis=-1)]
    if not turns.size:
        return []
    rpm = m.shaft_speed[turns] * RPM
    limit = allowed_angle(m.shaft_speed[turns]) * rpm
    return [
        Sampled(where=part.where, values=part.values * rpm, limit=limit)
        for part in universal_joints(m, turns)
    ]


def _whirl_limit(m: Measurements, v: Values, chosen: States) -> list[Sampled]:
    """Road speed at the whirl limit [km/h]; it moves with 1/length² and with the tire."""
    del chosen
    return [
        Sampled(
            where=f"shaft {critical.shaft}",
            values=KMH
            * critical.safe_road_speed
            * v.per_speed
            / v.reach[:, critical.shaft - 1] ** 2,
        )
        for critical in m.critical_speeds
    ]


def _phase(m: Measurements, v: Values, chosen: States) -> list[Sampled]:
    """How far yokes are from in line, or from suiting their joints' planes [deg]."""
    del chosen
    configuration: Configuration = m.configuration
    matched = np.moveaxis(v.matched_phase[0], -1, 0)
    parts = []
    for index, shaft in enumerate(configuration.shafts):
        if any(joint.kind != "universal" for joint in configuration.joints[index : index + 2]):
            continue
        off = np.abs(half_turn(np.full(len(matched), shaft.phase)))
        bent = (m.joint_angle[0, index : index + 2] >= STRAIGHT).all(axis=0)
        suited = np.abs(half_turn(shaft.phase - matched[:, index]))
        off = np.where(bent, np.minimum(off, suited), off)
        parts.append(Sampled(where=f"shaft {index + 1}", values=np.rad2deg(off)[None]))
    return parts


def _only(name: str) -> Callable[[Measurements, Values, States], list[Sampled]]:
    """Return the quantity that is an array of the samples as it stands."""

    def parts(m: Measurements, v: Values, chosen: States) -> list[Sampled]:
        del m
        values: NDArray[np.float64] = getattr(v, name)[chosen]
        return [Sampled(where="", values=values)] if chosen.size else []

    return parts


OWN: dict[str, Callable[[Measurements, Values, States], list[Sampled]]] = {
    "angle times speed": _angle_times_speed,
    "whirl limit": _whirl_limit,
    "phase": _phase,
    "torsional acceleration": _only("torsional"),
    "inertial drive acceleration": _only("inertial_drive"),
    "inertial coast acceleration": _only("inertial_coast"),
}
