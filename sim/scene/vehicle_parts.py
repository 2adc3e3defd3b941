"""Parts of a vehicle: plates, ends of the driveline, torque cases, obstacles, limits, complaints.

SI units and radians, vehicle axes; see ``parts``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.scene.shaft_parts import Vector

When = Literal["drive", "coast", "any"]
Load = Literal["empty", "loaded", "any"]
NO_TORQUE = "no torque"  # name of the torque case that is always looked at, standing or rolling


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
        speed: Road speed at which it is felt most [m/s]; None where only its frequency is known.
        frequency: How often it shakes [Hz], or None where nobody measured it.
        spread: Half width of its 95 % band [Hz]; 0 where none is known.
        when: Whether under drive, on the overrun ("coast"), or both alike ("any"); None where
            nobody looked.
        load: Whether "empty", "loaded", or both alike ("any"); None where nobody looked.
    """

    name: str
    speed: float | None
    frequency: float | None = None
    spread: float = 0.0
    when: When | None = None
    load: Load | None = None
