"""What the driveline serves in: its duty, and what turns with it; data for life and torsion."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LifeBasis = Literal["5000 h at 3 deg and 100 rpm", "capacity times radius"]
Coating = Literal["greased steel", "plastic coated"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """One part of what the vehicle does.

    Attributes:
        name: As in "uphill".
        share: Share of the time in which the shafts turn [-].
        case: Name of the torque case.
        height: Name of the height.
        road_speed: Road speed [m/s], or None for that of the state.
    """

    name: str
    share: float
    case: str
    height: str
    road_speed: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Torsion:
    """What the shafts twist between; None where the scene does not say.

    Attributes:
        engine_inertia: Engine with flywheel or converter, at the crankshaft [kg m²].
        axle_inertia: Pinion, ring gear and differential, at the pinion [kg m²].
        half_shaft_stiffness: Both half shafts together, at the wheels [N m/rad].
        gear: Ratio of the gear looked at, engine over shaft [-].
    """

    engine_inertia: float | None = None
    axle_inertia: float | None = None
    half_shaft_stiffness: float | None = None
    gear: float | None = None

    @property
    def missing(self) -> tuple[str, ...]:
        """Keys that the scene does not give, as written there."""
        return tuple(key for key in self.__dataclass_fields__ if getattr(self, key) is None)


UNKNOWN_TORSION = Torsion()
"""A scene that says nothing of it."""
