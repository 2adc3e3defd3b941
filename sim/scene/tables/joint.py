"""[joint.N]: joints; every kind by one description."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce
from typing import Any, Literal, assert_never, get_args

import numpy as np

from sim.scene.allowed import In
from sim.scene.keys import Problem, choice, default, optional
from sim.scene.structure import JointKind, LifeBasis, Structure
from sim.scene.table import Table
from sim.scene.values import Values, plain
from sim.units import ANGLE, LENGTH, TORQUE

SWING = 1.35  # swing radius over tube radius, common practice, no source
HALVED_AT = 15.0  # [deg], where halving_error is meant without another angle
NEEDS = {"halving_error_at": "halving_error", "plunge_in": "plunge"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A joint."""

    kind: JointKind  # what joint it is
    between_crosses: float  # distance of the two crosses of a double Cardan joint [m]
    largest_angle: float  # angle at which it binds [rad]
    swing_radius: float  # radius that it sweeps as it turns [m]
    rated_torque: float | None  # torque that it stands for short [N m], or None
    # how far the coupling yoke of a double Cardan joint leaves the half of the joint angle [rad],
    # at the angle halving_error_at [rad], in proportion to the angle; positive bends the front
    # cross more
    halving_error: float = 0.0
    halving_error_at: float = math.radians(15)
    # how far a plunging constant velocity joint may slide in all [m], or None for one that does not
    # slide
    plunge: float | None = None
    plunge_in: float = 0.0  # how much of it is left to slide together at ride height [m]
    life_rating: float | None = None  # torque rating for the life of its bearings [N m], or None
    life_basis: LifeBasis | None = None  # what that rating means

    @property
    def of_kind(self) -> KindOfJoint:
        """What its kind says of itself."""
        return kind_of_joint(self.kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfJoint:
    """What every kind of joint says of itself."""

    # how many crosses share its angle: one passes speed on unevenly, twice per turn, two evenly as
    # long as each takes half; a joint without passes it on evenly
    crosses: Literal[0, 1, 2]
    stopped_by: Literal["yokes", "housing", "rubber"]  # what keeps it from bending further
    binds_at: float  # angle at which it binds [deg], common practice, no source
    own_keys: tuple[str, ...] = ()  # keys that no other kind has

    @property
    def constant_velocity(self) -> bool:
        """Whether the trade calls it a constant velocity joint; rubber only gives way."""
        return self.crosses != 1 and self.stopped_by != "rubber"


def kind_of_joint(kind: JointKind) -> KindOfJoint:
    """Return the description of a kind of joint."""
    match kind:
        case "universal":
            return KindOfJoint(crosses=1, stopped_by="yokes", binds_at=20.0)
        case "double cardan":
            own: tuple[str, ...] = ("between_crosses", "halving_error", "halving_error_at")
            return KindOfJoint(crosses=2, stopped_by="yokes", binds_at=28.0, own_keys=own)
        case "constant velocity":
            own = ("plunge", "plunge_in")
            return KindOfJoint(crosses=0, stopped_by="housing", binds_at=18.0, own_keys=own)
        case "flexible":
            return KindOfJoint(crosses=0, stopped_by="rubber", binds_at=3.0)
    assert_never(kind)


KINDS: tuple[JointKind, ...] = get_args(JointKind)


class JointKeys(Table):
    """A joint that is not the plain one."""

    kind = choice(JointKind, "What joint it is.", "universal").also("type")
    between_crosses = default(
        "75 ± 5 mm",
        In(LENGTH, "30 to 200 mm", "75 mm", "40 to 140 mm"),
        "Double cardan only: distance between its crosses.",
    )
    largest_angle = optional(
        In(ANGLE, "1 to 50 deg", "22 deg", exact=True),
        "Angle at which it binds.",
        ", ".join(f"{kind} {kind_of_joint(kind).binds_at:.0f} deg" for kind in KINDS),
    ).also("max_angle")
    swing_radius = optional(
        In(LENGTH, "10 to 300 mm", "60 mm", "25 to 160 mm"),
        "Radius that it sweeps as it turns.",
        "1.35 times the radius of the larger tube",
    )
    rated_torque = optional(
        In(TORQUE, "20 to 50000 N m", "1680 N m", "200 to 40000 N m", exact=True),
        "Torque it stands for short, from its maker's sheet.",
        "not known",
    )
    life_rating = optional(
        In(TORQUE, "10 to 50000 N m", "600 N m", exact=True),
        "Torque rating for the life of its bearings, from its maker's sheet.",
        "no life",
    )
    life_basis = choice(
        LifeBasis,
        "What that rating means: the torque for 5000 h at 3 deg and 100 rpm, or the dynamic "
        "capacity of a bearing times its radius.",
        left_out="needed with life_rating",
    )
    halving_error = optional(
        In(ANGLE, "-10 to 10 deg", "0.5 deg"),
        "Double cardan only: how far its coupling yoke leaves the half of the joint angle, at "
        "halving_error_at and in proportion; positive bends the front cross more.",
        "0 deg",
    )
    halving_error_at = optional(
        In(ANGLE, "1 to 45 deg", "15 deg"),
        "Double cardan only: joint angle at which halving_error was found.",
        "15 deg",
    )
    plunge = optional(
        In(LENGTH, "1 to 200 mm", "40 mm", exact=True),
        "Constant velocity only: how far it may slide in all; it stands in for the spline.",
        "it does not slide",
    )
    plunge_in = optional(
        In(LENGTH, "0 to 200 mm", "20 ± 1 mm"),
        "How much of it is left to slide together, at ride height.",
        "half of plunge",
    )

    def check(self) -> Iterator[Problem]:
        """Refuse keys of another kind or without another key, and amounts that cannot be."""
        for kind in KINDS:
            for key in kind_of_joint(kind).own_keys:
                if key in self.written and self.kind != kind:
                    who = kind + (" joint" if key.startswith("plunge") else "")
                    yield (key,), f" belongs to a {who}; this joint is {self.kind}"
                elif key in self.written and key in NEEDS and NEEDS[key] not in self.written:
                    yield (key,), f" says nothing without {NEEDS[key]}"
        for key, other in (("life_rating", "life_basis"), ("life_basis", "life_rating")):
            if key in self.written and other not in self.written:
                said = f" says nothing without {other}: ratings of different makers mean different"
                yield (key,), said + " things"
        yield from self._amounts()

    def _amounts(self) -> Iterator[Problem]:
        error, at = self.halving_error, self.halving_error_at
        angle = math.radians(HALVED_AT) if at is None else at.value
        if error is not None and abs(error.value) >= angle / 2:
            shown = f"{HALVED_AT:.0f} deg" if at is None else at.text
            said = f" is {error.text} at {shown}; it must stay below half of that angle"
            yield ("halving_error",), said
        whole, inward = self.plunge, self.plunge_in
        if whole is not None and inward is not None and inward.value > whole.value:
            yield ("plunge_in",), f" is {inward.text}; the joint plunges {whole.text} in all"


def joint(v: Values, s: Structure, number: int) -> Joint:
    """Return a joint by its number from 1."""
    path, kind = f"joint.{number}", s.joints[number - 1]
    beside = range(max(number - 1, 1), min(number, len(s.tubes)) + 1)
    radius = reduce(np.maximum, [v[f"shaft.{shaft}.tube.outside"] / 2 for shaft in beside])
    of_kind = kind_of_joint(kind)
    binds = of_kind.binds_at
    return Joint(
        kind=kind,
        between_crosses=v[f"{path}.between_crosses"] if of_kind.crosses == 2 else 0.0,
        largest_angle=v.derive(
            f"{path}.largest_angle", math.radians(binds), f"{binds:.0f} deg", "assumed"
        ),
        swing_radius=v.derive(
            f"{path}.swing_radius",
            plain(SWING * radius),
            "1.35 times the radius of the larger tube",
        ),
        rated_torque=v.get(f"{path}.rated_torque"),
        life_rating=v.get(f"{path}.life_rating"),
        life_basis=s.life_bases.get(number),
        **_halving(v, path),
        **_plunge(v, path),
    )


def _halving(v: Values, path: str) -> dict[str, Any]:
    """Return by how much a coupling yoke fails to halve the angle [rad], and at which [rad]."""
    error = v.get(f"{path}.halving_error")
    if error is None:
        return {}
    at = v.derive(f"{path}.halving_error_at", math.radians(HALVED_AT), "15 deg", "assumed")
    return {"halving_error": error, "halving_error_at": at}


def _plunge(v: Values, path: str) -> dict[str, Any]:
    """Return how far a joint may slide in all, and how much is left to slide together [m]."""
    plunge = v.get(f"{path}.plunge")
    if plunge is None:
        return {}
    inward = v.derive(f"{path}.plunge_in", plunge / 2, "half of plunge", "assumed")
    return {"plunge": plunge, "plunge_in": inward}
