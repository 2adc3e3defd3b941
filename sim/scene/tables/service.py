"""[duty] and [torsion]: what the driveline serves in, and what turns with it."""

from __future__ import annotations

from dataclasses import dataclass

from sim.scene.allowed import In
from sim.scene.keys import TextKey, need, optional
from sim.scene.structure import Structure
from sim.scene.table import Table
from sim.scene.tables.vehicle import row
from sim.scene.values import Values
from sim.units import INERTIA, RATIO, ROAD_SPEED, SHARE, WIND_UP

NOT_LOOKED_AT = "torsional frequencies are not looked at"


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """One part of what the vehicle does."""

    name: str  # as in "uphill"
    share: float  # share of the time in which the shafts turn [-]
    case: str  # name of the torque case
    height: str  # name of the height
    road_speed: float | None = None  # road speed [m/s], or None for that of the state


@dataclass(frozen=True, slots=True, kw_only=True)
class Torsion:
    """What the shafts twist between; None where the scene does not say."""

    engine_inertia: float | None = None  # with flywheel or converter, at the crankshaft [kg m²]
    axle_inertia: float | None = None  # pinion, ring gear and differential, at the pinion [kg m²]
    half_shaft_stiffness: float | None = None  # both half shafts together, at the wheels [N m/rad]
    gear: float | None = None  # ratio of the gear looked at, engine over shaft [-]

    @property
    def missing(self) -> tuple[str, ...]:
        """Keys that the scene does not give, as written there."""
        return tuple(key for key in self.__dataclass_fields__ if getattr(self, key) is None)


UNKNOWN_TORSION = Torsion()
"""A scene that says nothing of it."""


class DutyKeys(Table):
    """One part of what the vehicle does while its shafts turn."""

    share = need(In(SHARE, "0.01 to 100 %", "80 %", exact=True), "Share of the time.")
    torque_case: TextKey[str] = TextKey("Name of the torque case.", needed=True)
    height: TextKey[str] = TextKey("Name of the height.", default="ride height")
    road_speed = optional(
        In(ROAD_SPEED, "1 to 320 km/h", "90 km/h"),
        "Road speed.",
        "that of the torque case at that height",
    )


class TorsionKeys(Table):
    """What the shafts twist between."""

    engine_inertia = optional(
        In(INERTIA, "0.01 to 20 kg m2", "0.35 kg m2"),
        "Engine with flywheel or converter, at the crankshaft.",
        NOT_LOOKED_AT,
    )
    axle_inertia = optional(
        In(INERTIA, "0.0005 to 5 kg m2", "0.03 kg m2"),
        "Pinion, ring gear and differential, at the pinion.",
        NOT_LOOKED_AT,
    )
    half_shaft_stiffness = optional(
        In(WIND_UP, "20 to 100000 N m/deg", "350 N m/deg ± 20 %"),
        "Both half shafts together, at the wheels.",
        NOT_LOOKED_AT,
    )
    gear = optional(
        In(RATIO, "0.3 to 60 :1", "1 to 1"), "Gear looked at, engine over shaft.", NOT_LOOKED_AT
    )


def duties(v: Values, s: Structure) -> tuple[Duty, ...]:
    """Return the parts of the duty in the order written; none where there is no duty."""
    return tuple(
        Duty(
            name=name,
            share=v[f"duty.{name}.share"],
            case=case,
            height=height,
            road_speed=v.get(f"duty.{name}.road_speed"),
        )
        for name, (case, height) in s.duties.items()
    )


def torsion(v: Values) -> Torsion:
    """Return what the shafts twist between."""
    return Torsion(**row(v, "torsion", Torsion))
