"""What a scene is made of: frozen parts in SI units and radians, in the vehicle's axes.

Places are (aft, right, up) from the datum [m].  Slopes are positive when the front end is higher,
already corrected for the frame's own slope.  Files are not read here: see ``reader``.

A number typed ``float`` may also be an array of samples: formulas broadcast over it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from sim.errors import DomainError

if TYPE_CHECKING:
    from sim.scene.hung import Setup
from sim.scene.service import UNKNOWN_TORSION, Coating, Duty, LifeBasis, Torsion

Vector = NDArray[np.float64]
JointKind = Literal["universal", "double cardan", "constant velocity", "flexible"]
SplinePlace = Literal["output", "midship", "shaft"]
Status = Literal["measured", "assumed", "derived"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One value of a configuration and where it came from.

    Attributes:
        path: Its key, as in "bearing.1.up"; also its name in the uncertainty analysis.
        value: Value in SI units (radians for angles).
        spread: Half width of its 95 % band, same unit; 0 where none is known.
        text: As written, or the default as a scene would write it.
        status: "measured" if written in the file, "assumed" if a default stands in, "derived" if
            computed from other readings.
        line: Line in the file; 0 where it is not written.
    """

    path: str
    value: float
    spread: float
    text: str
    status: Status
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """What plates and papers say.

    Attributes:
        axle_ratio, first_gear, top_gear, low_range, converter: Ratios [-].
        tire_radius: Axle center to ground, loaded [m].
        tire_circumference: Distance rolled in one turn of the tire [m].
        top_speed: Highest road speed that the driveline must stand [m/s].
        axle_load: Weight on the driven axle [N], or None.
        unsprung_share: Share of it that the springs do not carry [-].
        engine_torque: Highest engine torque [N m], or None.
        engine_cut_off: Engine speed at the governor [rad/s], or None.
        tire_grip: Grip at which the tires slip [-].
        load_transfer: How much more load the driven axle carries on a hard launch [-].
        track: Distance of the tire centers, left to right [m], or None.
        cylinders: Cylinders of the four-stroke engine [-], or None.
    """

    axle_ratio: float
    tire_radius: float
    tire_circumference: float
    top_speed: float
    axle_load: float | None
    unsprung_share: float
    engine_torque: float | None
    engine_cut_off: float | None
    first_gear: float | None
    top_gear: float
    low_range: float
    converter: float
    tire_grip: float
    load_transfer: float
    track: float | None
    cylinders: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class End:
    """The output or the pinion at ride height, at rest: a joint center and an axis that points aft.

    Attributes:
        point: Joint center [m], shape (3,).
        slope: Inclination of the axis to the frame plane [rad], front end high positive.
        plan: Top-view angle of the axis [rad], positive to the right toward the rear.
    """

    point: Vector
    slope: float
    plan: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeafSprings:
    """Leaf springs, both alike; points of one spring in side view, (aft, 0, up) [m].

    Attributes:
        front_eye, shackle_pivot: Frame points [m], shape (3,).
        shackle: Shackle length, pivot to eye [m].
        shackle_kind: "hanging" or "standing".
        front_half, rear_half: Eye to center bolt along the spring [m].
        seat_height: Spring seat above the axle center [m]; negative for spring under axle.
        rate: Vertical rate of one spring [N/m].
        load: Sprung load on one spring at ride height [N].
        arm_fraction: Share of a half length that acts as a rigid arm [-].
        half_rates: Rate of the front half over that of the rear half [-].
        spacing: Distance of the springs, left to right [m].
        wind_up: Measured wind-up stiffness [N m/rad of wheel torque, thrust included], or None:
            then the spring's own rate and halves give it.
        wrap_control: Stiffness of a traction bar [N m/rad]; 0 without one.
    """

    front_eye: Vector
    shackle_pivot: Vector
    shackle: float
    shackle_kind: Literal["hanging", "standing"]
    front_half: float
    rear_half: float
    seat_height: float
    rate: float
    load: float
    arm_fraction: float
    half_rates: float
    spacing: float
    wind_up: float | None
    wrap_control: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Links:
    """A live axle on side-view links, (aft, 0, up) [m]; wrap from the bushings.

    Attributes:
        lower_frame, lower_axle, upper_frame, upper_axle: Link ends at ride height [m], shape (3,).
        wind_up: Wheel torque per turn of the pinion [N m/rad], thrust included.
    """

    lower_frame: Vector
    lower_axle: Vector
    upper_frame: Vector
    upper_axle: Vector
    wind_up: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FrameMounted:
    """A final drive in rubber on the frame, which does not move with the wheels.

    Attributes:
        mount: Point about which it tips [m], shape (3,).
        wind_up: Wheel torque per tip [N m/rad].
    """

    mount: Vector
    wind_up: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeasuredAxle:
    """Any axle, followed through readings of the pinion joint at two or more heights.

    Attributes:
        travel: Axle travel of each reading [m], rising, with 0 among them; shape (R,).
        point: Pinion joint center at each [m], shape (R, 3).
        slope: Pinion slope at each [rad], shape (R,).
        plan: Pinion plan angle at each [rad], shape (R,).
        wind_up: Wheel torque per turn of the pinion [N m/rad].
    """

    travel: Vector
    point: Vector
    slope: Vector
    plan: Vector
    wind_up: float


Suspension = LeafSprings | Links | FrameMounted | MeasuredAxle


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """A named height of the axle.

    Attributes:
        name: As in "ride height", "full droop", "loaded", "parked low".
        left, right: Wheel travel from ride height [m], bump positive.
        turning: Whether the shafts may turn there; they do not when parked low.
        cases: Names of the torque cases that run there; empty means all.
    """

    name: str
    left: float
    right: float
    turning: bool = True
    cases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """How far the axle goes from ride height [m], both as positive distances, and its roll.

    Attributes:
        droop, bump: To full droop and to the solid bump stop [m].
        parked_low: Up to where it parks with empty air springs [m], or None.
        roll: How far the axle rolls to each side [rad].
        heights: The named heights besides ride height, full droop, full bump and parked low.
    """

    droop: float
    bump: float
    parked_low: float | None
    roll: float
    heights: tuple[Height, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueCase:
    """A named torque as the scene gives it; ``motion.torque`` turns it into loads.

    Attributes:
        name: As in "hard launch".
        wheel_torque: Both wheels together [N m], drive positive, or None.
        shaft_torque: In the shaft [N m], or None.  With both None the case is derived.
        output_move: How the output joint moves on its mounts, (aft, right, up) [m].
        output_tip: How its slope changes [rad].
        road_speed: Road speed that belongs to it [m/s], or None: then the
            travel and the torque decide (``motion.road_speed``).
    """

    name: str
    wheel_torque: float | None = None
    shaft_torque: float | None = None
    output_move: tuple[float, float, float] = (0.0, 0.0, 0.0)
    output_tip: float = 0.0
    road_speed: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """A straight round tube of even wall: outside diameter and wall [m], and what it is made of.

    The yield stress [Pa] is None where only the material is known.
    """

    outside: float
    wall: float
    material: Literal["steel", "aluminum"]
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Obstacle:
    """A box between two corners, or a round pipe between two ends.

    Attributes:
        name: Its name.
        start, end: Corners or ends [m], shape (3,).
        pipe: Outside diameter [m], or None for a box.
        moves: How far it moves, to any side [m].
        rides_on: What carries it.
        kind: What it is, for the clearance rules.
        least_clearance: Clearance wanted [m], or None: then the rule for its kind.
    """

    name: str
    start: Vector
    end: Vector
    pipe: float | None
    moves: float
    rides_on: Literal["frame", "axle"]
    kind: Literal["fixed part", "line", "exhaust", "floor"]
    least_clearance: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits of the shop; None where the shop sets none.

    Attributes:
        gap: Least gap to bottoming [m].
        clearance: Least clearance to an obstacle [m].
        ground: Least ground clearance [m], or None.
        safe_share: Share of the critical speed that may be used [-].
        set_by_shop: Keys of [limits] that the scene writes itself; only these can fail where no
            published source stands behind them.
        least_angle, largest_angle, front_joint, pair_difference: Joint angles [rad], or None.
        torsional, inertial: Angular accelerations [rad/s²], or None.
        joint_life: Least life of the joint bearings [s], or None.
    """

    gap: float
    clearance: float
    ground: float | None
    safe_share: float
    set_by_shop: frozenset[str] = frozenset()
    least_angle: float | None = None
    largest_angle: float | None = None
    front_joint: float | None = None
    pair_difference: float | None = None
    torsional: float | None = None
    inertial: float | None = None
    joint_life: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """What the driver feels.

    Attributes:
        name: As the scene calls it.
        speed: Road speed at which it is felt most [m/s].
        frequency: How often it shakes [Hz], or None where nobody measured it.
        spread: Half width of its 95 % band [Hz]; 0 where none is known.
        when: Whether under drive, on the overrun ("coast"), or both ("any").
        load: Whether "empty", "loaded", or both ("any").
    """

    name: str
    speed: float
    frequency: float | None = None
    spread: float = 0.0
    when: Literal["drive", "coast", "any"] = "any"
    load: Literal["empty", "loaded", "any"] = "any"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Configuration:
    """One complete vehicle with one driveline.

    Attributes:
        name, about: Its name, and what its author says of it.
        differences: What it changes against the one it is like, in words.
        vehicle, output, pinion, limits, spline: See their classes.  The pinion is given after any
            wedge (``nose_up``) has turned it about the axle center.
        axle: Axle center at ride height [m], shape (3,); its right part is 0.
        suspension, travel: None when only ride height is looked at.
        torque_cases: As the scene gives them, "at rest" first.
        full_travel_speed: Road speed at full droop and full bump [m/s].
        obstacles: What must not be touched.
        series: Series of the joints, or None.
        shafts, bearings, joints: From the front; N shafts, N − 1 bearings, N + 1 joints.
        output_spline: A slip yoke on the output ahead of a bearing, or None.
        cut_as: The configuration whose shafts, already cut, it carries, or None.
        readings: Every reading by its path.
        like: Name of the configuration that it starts from, or "".
        duties: What the vehicle does; empty where the scene does not say.
        torsion: What the shafts twist between.
        complaints: What the driver feels.
        setup: The set-up that it was built from, to build it again from other values; None for
            one made by hand.
    """

    name: str
    about: str
    differences: tuple[str, ...]
    vehicle: Vehicle
    output: End
    pinion: End
    axle: Vector
    suspension: Suspension | None
    travel: Travel | None
    torque_cases: tuple[TorqueCase, ...]
    full_travel_speed: float
    obstacles: tuple[Obstacle, ...]
    limits: Limits
    series: str | None
    shafts: tuple[Shaft, ...]
    bearings: tuple[Bearing, ...]
    joints: tuple[Joint, ...]
    spline: Spline
    output_spline: OutputSpline | None
    cut_as: Configuration | None
    readings: Mapping[str, Reading] = field(repr=False)
    like: str = ""
    duties: tuple[Duty, ...] = ()
    torsion: Torsion = UNKNOWN_TORSION
    complaints: tuple[Complaint, ...] = ()
    setup: Setup | None = field(default=None, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """A valid scene: holding one means that every configuration is complete.

    Attributes:
        name: File name without its ending; the folder of its outputs.
        title, about, datum: As written.
        display: "metric" or "inch": the units of screens, tables and sheets.
        rules: Name of the rule set that judges.
        configurations: In the order written.
        compared: The two configurations of the film; one name twice if there is only one.
        doubts: What can be computed but is likely not meant, one line each.
        text: The file's text, and ``digest``, its SHA-256.
    """

    name: str
    title: str
    about: str
    datum: str
    display: Literal["metric", "inch"]
    rules: str
    configurations: tuple[Configuration, ...]
    compared: tuple[str, str]
    doubts: tuple[str, ...]
    text: str
    digest: str

    def configuration(self, name: str) -> Configuration:
        """Return the configuration of that name.

        Raises:
            DomainError: If there is none; the message lists the names there are.
        """
        for configuration in self.configurations:
            if configuration.name == name:
                return configuration
        known = ", ".join(c.name for c in self.configurations)
        raise DomainError(f'no configuration "{name}"; there are: {known}')


def plunging_joint(configuration: Configuration) -> int:
    """Return the number of the joint that slides in place of a spline, from 1; 0 if none does."""
    plunges = (joint.plunge is not None for joint in configuration.joints)
    return next((number for number, slides in enumerate(plunges, start=1) if slides), 0)
