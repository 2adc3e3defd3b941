"""The tables of a scene file that describe what hangs in the vehicle, and the whole set-up."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from sim import units
from sim.scene.felt import Complaint
from sim.scene.fields import Count, In, Name, Part, Point, Slope, default, named, need, optional
from sim.scene.quantity import Quantity
from sim.scene.service import Coating, LifeBasis
from sim.scene.serving import Duty, Torsion
from sim.scene.written import (
    Axle,
    Frame,
    Height,
    Output,
    OutputMove,
    Pinion,
    RoadSpeed,
    Suspension,
    Torque,
    Travel,
    Vehicle,
)

_Gap = Annotated[
    Quantity, In(units.LENGTH, "0 mm", "400 mm", "45 ± 2 mm", usual=("0 mm", "160 mm"))
]
_Engaged = Annotated[
    Quantity, In(units.LENGTH, "1 mm", "500 mm", "85 ± 2 mm", usual=("10 mm", "250 mm"))
]
_Clearance = Annotated[Quantity, In(units.LENGTH, "0 mm", "200 mm", "25 mm", exact=True)]
_LimitAngle = Annotated[Quantity, In(units.ANGLE, "0 deg", "30 deg", "3 deg", exact=True)]
_LimitAcceleration = Annotated[
    Quantity, In(units.ACCELERATION, "1 rad/s2", "10000 rad/s2", "300 rad/s2", exact=True)
]
SIDES = ("aft", "right", "up")


class Obstacle(Part):
    """Something that the shafts must not touch: a box between two corners, or a round pipe."""

    from_: Point = Field(alias="from", description="One corner of the box, or one end of the pipe.")
    to: Point = need("The opposite corner, or the other end.")
    pipe: Annotated[Quantity, In(units.LENGTH, "3 mm", "600 mm", "70 mm")] | None = optional(
        "Outside diameter of the pipe.", "a box"
    )
    moves: Annotated[Quantity, In(units.LENGTH, "0 mm", "100 mm", "10 mm")] = default(
        "0 mm", "How far it moves, to any side."
    )
    rides_on: Literal["frame", "axle"] = default("frame", "What carries it.")
    kind: Literal["fixed part", "line", "exhaust", "floor"] = default(
        "fixed part", "What it is, for the clearance rules."
    )
    least_clearance: _Clearance | None = optional("Clearance wanted.", "by its kind")

    @model_validator(mode="after")
    def _has_size(self) -> Obstacle:
        ends = zip(SIDES, self.from_.position, self.to.position, strict=True)
        same = [side for side, a, b in ends if abs(a - b) < 1e-9]
        if len(same) == 3 or (same and self.pipe is None):
            raise PydanticCustomError("flat", "no size", {"same": same, "pipe": self.pipe})
        return self


class Tube(Part):
    """The tube of a shaft."""

    outside: Annotated[
        Quantity, In(units.LENGTH, "20 mm", "300 mm", "88.9 mm", usual=("38 mm", "180 mm"))
    ] = need("Outside diameter.")
    wall: Annotated[
        Quantity, In(units.LENGTH, "0.5 mm", "50 mm", "2.1 ± 0.1 mm", usual=("1.2 mm", "7 mm"))
    ] = need("Wall thickness.")
    material: Literal["steel", "aluminum"] = default("steel", "What it is made of.")
    yield_stress: (
        Annotated[Quantity, In(units.STRESS, "50 MPa", "2000 MPa", "414 MPa", exact=True)] | None
    ) = optional("Least yield stress by its certificate.", "typical of its material")

    @model_validator(mode="after")
    def _has_bore(self) -> Tube:
        if self.wall.value >= self.outside.value / 2:
            context = {"quantity": self.wall, "below": self.outside.value / 2}
            raise PydanticCustomError("bore", "no bore", context)
        return self


class Shaft(Part):
    """A shaft; its ends are the joints and bearings before and behind it."""

    tube: Tube = need("Its tube.")
    phase: Annotated[Quantity, In(units.ANGLE, "-90 deg", "90 deg", "0 deg")] = default(
        "0 deg",
        "Clock angle from the front yoke to the rear yoke, as welded; positive turns the rear "
        "yoke counterclockwise, seen from behind.",
    )
    mass: (
        Annotated[Quantity, In(units.MASS, "0.5 kg", "200 kg", "14 kg", usual=("2 kg", "90 kg"))]
        | None
    ) = optional("Mass with yokes.", "tube and 6 kg")
    length: Annotated[Quantity, In(units.LENGTH, "100 mm", "6 m", "1908 ± 2 mm")] | None = optional(
        "Joint center to joint center at ride height, to check the places with.", "from the places"
    )
    slope: Slope | None = optional(
        "Slope read along its tube at ride height, to check the places with.", "not read"
    )


class Bearing(Point):
    """A center bearing; it carries the rear end of the shaft with its number."""

    to_joint: Annotated[
        Quantity, In(units.LENGTH, "0 mm", "500 mm", "115 ± 1 mm", usual=("40 mm", "300 mm"))
    ] = need("Bearing center to the center of the joint behind it.")
    skew: Annotated[Quantity, In(units.ANGLE, "0 deg", "20 deg", "6 deg")] = default(
        "0 deg", "Bracket out of square, top view."
    )
    radial: Annotated[
        Quantity,
        In(
            units.SPRING_RATE,
            "5 N/mm",
            "5000 N/mm",
            "80 N/mm ± 50 %",
            usual=("15 N/mm", "1000 N/mm"),
        ),
    ] = default("80 N/mm ± 60 %", "Stiffness of its rubber, up and down.")
    axial: Annotated[
        Quantity,
        In(
            units.SPRING_RATE, "2 N/mm", "5000 N/mm", "30 N/mm ± 50 %", usual=("5 N/mm", "500 N/mm")
        ),
    ] = default("30 N/mm ± 60 %", "Stiffness of its rubber, fore and aft.")


class Joint(Part):
    """A joint that is not the plain one."""

    kind: Literal["universal", "double cardan", "constant velocity", "flexible"] = default(
        "universal", "What joint it is."
    )
    between_crosses: Annotated[
        Quantity, In(units.LENGTH, "30 mm", "200 mm", "75 mm", usual=("40 mm", "140 mm"))
    ] = default("75 ± 5 mm", "Double cardan only: distance between its crosses.")
    largest_angle: (
        Annotated[Quantity, In(units.ANGLE, "1 deg", "50 deg", "22 deg", exact=True)] | None
    ) = optional(
        "Angle at which it binds.",
        "universal 20 deg, double cardan 28 deg, constant velocity 18 deg, flexible 3 deg",
    )
    swing_radius: (
        Annotated[Quantity, In(units.LENGTH, "10 mm", "300 mm", "60 mm", usual=("25 mm", "160 mm"))]
        | None
    ) = optional("Radius that it sweeps as it turns.", "1.35 times the radius of the larger tube")
    rated_torque: (
        Annotated[
            Quantity,
            In(
                units.TORQUE,
                "20 N m",
                "50000 N m",
                "1680 N m",
                exact=True,
                usual=("200 N m", "40000 N m"),
            ),
        ]
        | None
    ) = optional("Torque it stands for short, from its maker's sheet.", "not known")
    life_rating: (
        Annotated[Quantity, In(units.TORQUE, "10 N m", "50000 N m", "600 N m", exact=True)] | None
    ) = optional("Torque rating for the life of its bearings, from its maker's sheet.", "no life")
    life_basis: LifeBasis | None = optional(
        "What that rating means: the torque for 5000 h at 3 deg and 100 rpm, or the dynamic "
        "capacity of a bearing times its radius.",
        "needed with life_rating",
    )
    halving_error: Annotated[Quantity, In(units.ANGLE, "-10 deg", "10 deg", "0.5 deg")] | None = (
        optional(
            "Double cardan only: how far its coupling yoke leaves the half of the joint angle, at "
            "halving_error_at and in proportion; positive bends the front cross more.",
            "0 deg",
        )
    )
    halving_error_at: Annotated[Quantity, In(units.ANGLE, "1 deg", "45 deg", "15 deg")] | None = (
        optional("Double cardan only: joint angle at which halving_error was found.", "15 deg")
    )
    plunge: Annotated[Quantity, In(units.LENGTH, "1 mm", "200 mm", "40 mm", exact=True)] | None = (
        optional(
            "Constant velocity only: how far it may slide in all; it stands in for the spline.",
            "it does not slide",
        )
    )
    plunge_in: Annotated[Quantity, In(units.LENGTH, "0 mm", "200 mm", "20 ± 1 mm")] | None = (
        optional("How much of it is left to slide together, at ride height.", "half of plunge")
    )


class Spline(Part):
    """The spline that follows the axle."""

    at: Literal["output", "midship", "shaft"] = need(
        "Where it slides: output, a slip yoke on the output; midship, a slip yoke on the stub "
        "behind the last bearing; shaft, inside the last shaft."
    )
    gap: _Gap | None = optional(
        "Gap to bottoming, at ride height.", "by the plunging joint; needed without one"
    )
    engaged: _Engaged | None = optional(
        "Engaged length, at ride height.", "by the plunging joint; needed without one"
    )
    shorter: (
        Annotated[Quantity, In(units.LENGTH, "5 mm", "600 mm", "110 mm", usual=("25 mm", "300 mm"))]
        | None
    ) = optional("Length of the shorter of its two splines.", "not known")
    least_engaged: Annotated[Quantity, In(units.LENGTH, "1 mm", "300 mm", "60 mm", exact=True)] = (
        default("50 mm", "Engaged length it must never go below.")
    )
    teeth: (
        Annotated[
            Quantity,
            In(units.TEETH, "6 teeth", "60 teeth", "16 teeth", usual=("10 teeth", "48 teeth")),
        ]
        | None
    ) = optional("Number of teeth.", "not known")
    diameter: (
        Annotated[Quantity, In(units.LENGTH, "10 mm", "200 mm", "40 mm", usual=("20 mm", "110 mm"))]
        | None
    ) = optional("Mean diameter of its teeth.", "its friction is not looked at")
    coating: Coating = default("greased steel", "What slides in it.")
    off_by: Annotated[
        Quantity, In(units.CLOCK, "-90 deg", "90 deg", "1 tooth", apart=(-20.0, 20.0))
    ] = default("0 deg", "How far from its index marks it was assembled.")

    @model_validator(mode="after")
    def _counted(self) -> Spline:
        if self.off_by.unit in ("tooth", "teeth") and self.teeth is None:
            raise PydanticCustomError("teeth", "teeth not known", {"quantity": self.off_by})
        return self


class OutputSpline(Part):
    """A slip yoke on the output ahead of a center bearing; it does not follow the axle."""

    gap: _Gap = need("Gap to bottoming.")
    engaged: _Engaged = need("Engaged length.")


class Limits(Part):
    """Limits of the shop, where no source gives one."""

    gap: Annotated[Quantity, In(units.LENGTH, "0 mm", "50 mm", "6 mm", exact=True)] = default(
        "6 mm", "Least gap to bottoming."
    )
    clearance: _Clearance = default("10 mm", "Least clearance to an obstacle.")
    ground: Annotated[Quantity, In(units.LENGTH, "0 mm", "500 mm", "150 mm", exact=True)] | None = (
        optional("Least ground clearance.", "not judged")
    )
    safe_share: Annotated[Quantity, In(units.SHARE, "30 %", "100 %", "70 %", exact=True)] = default(
        "70 %", "Share of the critical speed that may be used."
    )
    least_angle: _LimitAngle | None = optional("Least joint angle.", "by the rule set")
    largest_angle: _LimitAngle | None = optional("Largest joint angle.", "by the rule set")
    front_joint: _LimitAngle | None = optional(
        "Largest angle of the first joint ahead of a center bearing.", "by the rule set"
    )
    pair_difference: _LimitAngle | None = optional(
        "Largest difference of the two angles of a pair.", "by the rule set"
    )
    torsional: _LimitAcceleration | None = optional(
        "Largest torsional acceleration.", "by the rule set"
    )
    inertial: _LimitAcceleration | None = optional(
        "Largest inertial acceleration.", "by the rule set"
    )
    joint_life: Annotated[Quantity, In(units.DURATION, "10 h", "100000 h", "5000 h")] | None = (
        optional("Least life of the joint bearings under the duty.", "by the rule set")
    )


class Setup(Part):
    """One complete vehicle with one driveline: the shared part and one configuration."""

    vehicle: Vehicle = need("What plates and papers say.")
    frame: Frame | None = optional("How the truck stood.", "nothing was read to level")
    output: Output = need("First joint.")
    pinion: Pinion = need("Last joint.")
    axle: Axle = need("Axle center.")
    suspension: Suspension | None = optional("What guides the axle.", "only ride height")
    travel: Travel | None = optional("How far the axle goes.", "only ride height")
    height: dict[Name, Height] = named("Named heights besides ride height, droop and bump.")
    torque_case: dict[Name, Torque] = named("Named torques; drive is positive.")
    output_move: dict[Name, OutputMove] = named(
        "How the output moves on its mounts, by torque case."
    )
    road_speed: dict[Name, RoadSpeed] = named(
        "Road or shaft speed, by torque case; and full travel."
    )
    duty: dict[Name, Duty] = named("What the vehicle does, for the life of the joints.")
    torsion: Torsion = Field(default_factory=Torsion, description="What the shafts twist between.")
    obstacle: dict[Name, Obstacle] = named("What must not be touched.", most=40)
    complaint: dict[Name, Complaint] = named("What the driver feels, and at which road speed.")
    limits: Limits = Field(default_factory=Limits, description="Limits of the shop.")
    series: Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9 .-]{0,15}$")] | None = optional(
        "Series of the joints, as in 1410.", "no joint rating is judged"
    )
    shaft: dict[Count, Shaft] = need("Shafts, numbered from the front.", min_length=1)
    bearing: dict[Count, Bearing] = named("Center bearings, numbered from the front.")
    joint: dict[Count, Joint] = named("Joints that are not plain universal joints.")
    spline: Spline = need("The spline that follows the axle.")
    output_spline: OutputSpline | None = optional(
        "A slip yoke on the output ahead of a center bearing.", "none"
    )
