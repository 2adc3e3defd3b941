"""Parts of a driveline: shafts, bearings, joints and splines.

SI units and radians, vehicle axes; see ``parts``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sim.scene.service import Coating, LifeBasis

Vector = NDArray[np.float64]
Material = Literal["steel", "aluminum"]
JointKind = Literal["universal", "double cardan", "constant velocity", "flexible"]
SplinePlace = Literal["output", "midship", "shaft"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """A straight round tube of even wall: outside diameter and wall [m], and what it is made of.

    The yield stress [Pa] is None where only the material is known.
    """

    outside: float
    wall: float
    material: Material
    yield_stress: float | None = None

    @property
    def inside(self) -> float:
        """Inside diameter [m]."""
        return self.outside - 2 * self.wall


@dataclass(frozen=True, slots=True, kw_only=True)
class Shaft:
    """A shaft between two joints.

    Attributes:
        tube: Its tube.
        phase: Clock angle of the rear yoke against the front yoke [rad], right-handed about the
            aft axis, spline assembly (``off_by``) included.
        mass: Mass with yokes [kg].
        length: Joint center to joint center as the scene gives it [m], or None.
    """

    tube: Tube
    phase: float
    mass: float
    length: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bearing:
    """A center bearing at the rear end of the shaft with its number.

    Attributes:
        point: Its center [m], shape (3,).
        to_joint: From its center aft to the joint behind it [m].
        skew: Bracket out of square, top view [rad].
        radial, axial: Stiffness of its rubber [N/m].
    """

    point: Vector
    to_joint: float
    skew: float
    radial: float
    axial: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A joint.

    Attributes:
        kind: What joint it is.
        between_crosses: Distance of the two crosses of a double Cardan joint [m].
        largest_angle: Angle at which it binds [rad].
        swing_radius: Radius that it sweeps as it turns [m].
        rated_torque: Torque that it stands for short [N m], or None.
        halving_error: How far the coupling yoke of a double Cardan joint leaves the half of the
            joint angle [rad], at the angle halving_error_at [rad], in proportion to the angle;
            positive bends the front cross more.
        plunge: How far a plunging constant velocity joint may slide in all [m], or None for one
            that does not slide.
        plunge_in: How much of it is left to slide together at ride height [m].
        life_rating: Torque rating for the life of its bearings [N m], or None.
        life_basis: What that rating means.
    """

    kind: JointKind
    between_crosses: float
    largest_angle: float
    swing_radius: float
    rated_torque: float | None
    halving_error: float = 0.0
    halving_error_at: float = math.radians(15)
    plunge: float | None = None
    plunge_in: float = 0.0
    life_rating: float | None = None
    life_basis: LifeBasis | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spline:
    """The one spline that follows the axle.

    Attributes:
        at: "output", "midship" (on the stub behind the last bearing) or "shaft" (inside the last).
        gap: Gap to bottoming at ride height [m].
        engaged: Engaged length at ride height [m].
        shorter: Length of the shorter of the two splines [m], or None.
        least_engaged: Engaged length it must never go below [m].
        teeth: Number of teeth, or None.
        off_by: How far from its index marks it was assembled [rad].
        diameter: Mean diameter of its teeth [m], or None.
        coating: What slides in it.
    """

    at: SplinePlace
    gap: float
    engaged: float
    shorter: float | None
    least_engaged: float
    teeth: int | None
    off_by: float
    diameter: float | None = None
    coating: Coating = "greased steel"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputSpline:
    """A slip yoke on the output ahead of a center bearing; it does not follow the axle."""

    gap: float
    engaged: float
