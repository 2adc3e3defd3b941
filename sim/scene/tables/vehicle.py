"""[vehicle]: what plates and papers say."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sim.scene.allowed import In
from sim.scene.keys import default, need, optional
from sim.scene.table import Table
from sim.scene.values import Values
from sim.units import CYLINDERS, LENGTH, LOAD, RATIO, ROAD_SPEED, SHAFT_SPEED, SHARE, TORQUE

# Rolling circumference over loaded radius, common practice, no source.
ROLLING = 2 * math.pi * 1.025
NO_CASE = "no torque case is derived"


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """What plates and papers say."""

    axle_ratio: float  # [-]
    tire_radius: float  # axle center to ground, loaded [m]
    tire_circumference: float  # distance rolled in one turn of the tire [m]
    top_speed: float  # highest road speed that the driveline must stand [m/s]
    axle_load: float | None  # weight on the driven axle at ride height [N], or None
    unsprung_share: float  # share of it that the springs do not carry [-]
    engine_torque: float | None  # highest engine torque [N m], or None
    engine_cut_off: float | None  # engine speed at the governor [rad/s], or None
    first_gear: float | None  # [-]
    top_gear: float  # [-]
    low_range: float  # [-]
    converter: float  # [-]
    tire_grip: float  # grip at which the tires slip [-]
    load_transfer: float  # how much more load the driven axle carries on a hard launch [-]
    track: float | None  # distance of the tire centers, left to right [m], or None
    cylinders: float | None = None  # cylinders of the four-stroke engine [-], or None
    axle_capacity: float | None = None  # load that the maker allows on the driven axle [N], or None


class VehicleKeys(Table):
    """What plates and papers say."""

    axle_ratio = need(
        In(RATIO, "1 to 12 :1", "4.10 to 1", "2.3 to 8 :1"), "Ratio of the driven axle."
    ).also("gear_ratio final_drive")
    tire_radius = need(
        In(LENGTH, "200 to 800 mm", "395 ± 5 mm", "240 to 600 mm"), "Axle center to ground, loaded."
    ).also("tyre_radius tire_size tire_diameter wheel_radius loaded_radius")
    tire_circumference = optional(
        In(LENGTH, "1200 to 5500 mm", "2545 mm", "1500 to 3900 mm"),
        "Distance rolled in one turn of the tire.",
        "6.44 times tire_radius, ± 2 %",
    )
    top_speed = need(
        In(ROAD_SPEED, "20 to 320 km/h", "155 km/h", "40 to 280 km/h", exact=True),
        "Highest road speed that the driveline must stand.",
    ).also("max_speed speed")
    axle_load = optional(
        In(LOAD, "100 to 15000 kg", "1448 ± 30 kg", "300 to 13000 kg"),
        "Weight on the driven axle.",
        NO_CASE,
    ).also("load")
    axle_capacity = optional(
        In(LOAD, "100 to 20000 kg", "2600 kg"),
        "Load that the maker allows on the driven axle.",
        "not known",
    ).also("gawr")
    unsprung_share = default(
        "15 %", In(SHARE, "2 to 60 %", "15 %"), "Share of axle_load that the springs do not carry."
    )
    engine_torque = optional(
        In(TORQUE, "30 to 5000 N m", "610 N m", "70 to 3500 N m"), "Highest engine torque.", NO_CASE
    )
    engine_cut_off = optional(
        In(SHAFT_SPEED, "1000 to 12000 rpm", "5600 rpm", "1500 to 9000 rpm"),
        "Engine speed at the governor or limiter.",
        "not checked",
    ).also("redline max_rpm engine_rpm")
    cylinders = optional(
        In(CYLINDERS, "1 to 16 cylinders", "8 cylinders"),
        "Cylinders of the engine, four-stroke.",
        "the engine's firing is not looked at",
    )
    first_gear = optional(
        In(RATIO, "1 to 25 :1", "4.17 to 1", "1 to 18 :1"),
        "Lowest gear of the transmission.",
        NO_CASE,
    )
    top_gear = default(
        "1 to 1", In(RATIO, "0.3 to 2 :1", "0.69 to 1", "0.5 to 1.2 :1"), "Highest gear."
    )
    low_range = default(
        "1 to 1",
        In(RATIO, "1 to 10 :1", "2.64 to 1", "1 to 5 :1"),
        "Low range of the transfer case.",
    ).also("transfer_case")
    converter = default(
        "1 to 1",
        In(RATIO, "1 to 4 :1", "1.9 to 1", "1 to 3 :1"),
        "Torque ratio of the converter at stall; 1 to 1 is a clutch.",
    )
    tire_grip = default(
        "90 ± 10 %", In(SHARE, "10 to 150 %", "90 ± 10 %"), "Grip at which the tires slip."
    ).also("mu friction")
    load_transfer = default(
        "20 %",
        In(SHARE, "0 to 60 %", "20 %"),
        "How much more load the driven axle carries on a hard launch.",
    )


def row(v: Values, table: str, part: type, but: Sequence[str] = ()) -> dict[str, Any]:
    """Return the values of a table that are fields of a part; those typed None may be missing."""
    keys = {key: kind for key, kind in part.__annotations__.items() if key not in but}
    return {
        key: v.get(f"{table}.{key}") if "None" in kind else v[f"{table}.{key}"]
        for key, kind in keys.items()
    }


def vehicle(v: Values) -> Vehicle:
    """Return what plates and papers say."""
    at = row(v, "vehicle", Vehicle, ("tire_circumference", "track"))
    at["tire_circumference"] = v.derive(
        "vehicle.tire_circumference", ROLLING * at["tire_radius"], "6.44 times tire_radius, ± 2 %"
    )
    at["track"] = v.get("axle.track")
    return Vehicle(**at)
