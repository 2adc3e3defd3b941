"""What is measured of clearance."""

from __future__ import annotations

from dataclasses import dataclass

from sim.arrays import Array

GROUND = "ground"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clearance:
    """The least distance of one part to one obstacle in one torque case, over continuous motion."""

    obstacle: str  # name of the obstacle, or "ground"
    kind: str  # kind of the obstacle, which decides its limit; "ground" for the ground
    part: str  # the part that comes so near, as in "shaft 2"
    size_known: bool  # whether the scene gives the size of the part; else it is assumed
    # least distance [m], at the exact posture below; negative: they overlap by as much at least
    distance: float
    certified_within: float  # how much less it can be anywhere on the run [m]
    at_rest: float  # distance at ride height without torque [m]
    case: str  # name of the torque case
    travel: float  # of the least [m]
    roll: float  # of the least [rad]
    turning: bool  # whether the shafts turn there; they do not when parked low
    on_axle: bool = False  # whether the part is bolted to the axle
    # place on the obstacle that comes nearest [m], (3,); for the ground the place of the part
    point: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClearanceCurve:
    """Distance of the nearest part that turns to one obstacle, over travel without roll."""

    obstacle: str  # its name
    case: str  # name of the torque case
    travel: Array  # rising [m], (P,)
    distance: Array  # at each [m], (P,)
