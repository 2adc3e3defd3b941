"""The tables of a scene file that say what a driveline serves in."""

from __future__ import annotations

from typing import Annotated

from sim import units
from sim.scene.fields import In, Part, default, need, optional
from sim.scene.quantity import Quantity

NOT_LOOKED_AT = "torsional frequencies are not looked at"


class Duty(Part):
    """One part of what the vehicle does while its shafts turn."""

    share: Annotated[Quantity, In(units.SHARE, "0.01 %", "100 %", "80 %", exact=True)] = need(
        "Share of the time."
    )
    torque_case: str = need("Name of the torque case.")
    height: str = default("ride height", "Name of the height.")
    road_speed: (
        Annotated[Quantity, In(units.ROAD_SPEED, "1 km/h", "320 km/h", "90 km/h")] | None
    ) = optional("Road speed.", "that of the torque case at that height")


class Torsion(Part):
    """What the shafts twist between."""

    engine_inertia: (
        Annotated[Quantity, In(units.INERTIA, "0.01 kg m2", "20 kg m2", "0.35 kg m2")] | None
    ) = optional("Engine with flywheel or converter, at the crankshaft.", NOT_LOOKED_AT)
    axle_inertia: (
        Annotated[Quantity, In(units.INERTIA, "0.0005 kg m2", "5 kg m2", "0.03 kg m2")] | None
    ) = optional("Pinion, ring gear and differential, at the pinion.", NOT_LOOKED_AT)
    half_shaft_stiffness: (
        Annotated[Quantity, In(units.WIND_UP, "20 N m/deg", "100000 N m/deg", "350 N m/deg ± 20 %")]
        | None
    ) = optional("Both half shafts together, at the wheels.", NOT_LOOKED_AT)
    gear: Annotated[Quantity, In(units.RATIO, "0.3 to 1", "60 to 1", "1 to 1")] | None = optional(
        "Gear looked at, engine over shaft.", NOT_LOOKED_AT
    )
