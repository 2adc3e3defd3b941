"""What a scene is made of: frozen parts in SI units and radians, in the vehicle's axes.

Places are (aft, right, up) from the datum [m].  Slopes are positive when the front end is higher,
already corrected for the frame's own slope.  Files are not read here: see ``reader``.

A number typed ``float`` may also be an array of samples: formulas broadcast over it.

Every part is offered here; shafts and what guides the axle are described in modules of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from sim.display import DisplayName
from sim.errors import DomainError
from sim.scene.axle_parts import (
    FrameMounted,
    Height,
    LeafSprings,
    Links,
    MeasuredAxle,
    Suspension,
    Travel,
)
from sim.scene.service import UNKNOWN_TORSION, Coating, Duty, LifeBasis, Torsion
from sim.scene.shaft_parts import (
    Bearing,
    Joint,
    JointKind,
    OutputSpline,
    Shaft,
    Spline,
    SplinePlace,
    Tube,
    Vector,
)

if TYPE_CHECKING:
    from sim.scene.hung import Setup

Status = Literal["measured", "assumed", "derived"]
NO_TORQUE = "no torque"  # name of the torque case that is always looked at, standing or rolling

__all__ = [
    "NO_TORQUE",
    "Bearing",
    "Coating",
    "Complaint",
    "Configuration",
    "Duty",
    "End",
    "FrameMounted",
    "Height",
    "Joint",
    "JointKind",
    "LeafSprings",
    "LifeBasis",
    "Limits",
    "Links",
    "MeasuredAxle",
    "Obstacle",
    "OutputSpline",
    "Reading",
    "Scene",
    "Shaft",
    "Spline",
    "SplinePlace",
    "Status",
    "Suspension",
    "TorqueCase",
    "Torsion",
    "Travel",
    "Tube",
    "Vector",
    "Vehicle",
    "plunging_joint",
]


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
        axle_load: Weight on the driven axle at ride height [N], or None.
        unsprung_share: Share of it that the springs do not carry [-].
        engine_torque: Highest engine torque [N m], or None.
        engine_cut_off: Engine speed at the governor [rad/s], or None.
        tire_grip: Grip at which the tires slip [-].
        load_transfer: How much more load the driven axle carries on a hard launch [-].
        track: Distance of the tire centers, left to right [m], or None.
        cylinders: Cylinders of the four-stroke engine [-], or None.
        axle_capacity: Load that the maker allows on the driven axle [N], or None.
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
    axle_capacity: float | None = None


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
        torque_cases: As the scene gives them, "no torque" first.
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
        display: Units of words about it.
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
    display: DisplayName = "metric"
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
    display: DisplayName
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
