"""What is measured of clearance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
GROUND = "ground"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clearance:
    """The least distance of one part to one obstacle in one torque case, over continuous motion.

    Attributes:
        obstacle: Name of the obstacle, or "ground".
        kind: Kind of the obstacle, which decides its limit; "ground" for the ground.
        part: The part that comes so near, as in "shaft 2".
        size_known: Whether the scene gives the size of the part; else it is assumed.
        distance: Least distance [m], at the exact posture below; negative: they overlap by as much
            at least.
        certified_within: How much less it can be anywhere on the run [m].
        at_rest: Distance at ride height without torque [m].
        case: Name of the torque case.
        travel, roll: Posture of the least [m], [rad].
        turning: Whether the shafts turn there; they do not when parked low.
        point: Place on the obstacle that comes nearest [m], shape (3,); for the ground the place
            of the part.
    """

    obstacle: str
    kind: str
    part: str
    size_known: bool
    distance: float
    certified_within: float
    at_rest: float
    case: str
    travel: float
    roll: float
    turning: bool
    point: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClearanceCurve:
    """Distance of the nearest part that turns to one obstacle, over travel without roll.

    Attributes:
        obstacle, case: Names of the obstacle and the torque case.
        travel: Rising [m], shape (P,).
        distance: At each [m], shape (P,).
    """

    obstacle: str
    case: str
    travel: Array
    distance: Array
