"""[suspension] with kind = "leaf": leaf springs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar, Literal

from sim.scene.allowed import In
from sim.scene.keys import choice, default, need, optional
from sim.scene.places import STIFFNESS, WIDTH, SidePoint
from sim.scene.structure import ShackleKind, Structure
from sim.scene.table import Table, TableKey
from sim.scene.values import Values, Vector
from sim.units import LENGTH, LOAD, RATIO, SHARE, SPRING_RATE, WIND_UP

SPACING = 1.0  # [m], where neither springs nor track were measured; common practice, no source
SPACING_OF_TRACK = 0.75  # common practice, no source
SEAT = In(LENGTH, "0 to 400 mm", "95 ± 2 mm")
HALF = In(LENGTH, "150 to 1500 mm", "620 ± 3 mm", "300 to 1100 mm")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeafSprings:
    """Leaf springs, both alike; points of one spring in side view, (aft, 0, up) [m]."""

    on_frame: ClassVar[bool] = False
    front_eye: Vector  # [m], (3,)
    shackle_pivot: Vector  # [m], (3,)
    shackle: float  # shackle length, pivot to eye [m]
    shackle_kind: ShackleKind  # "hanging" or "standing"
    front_half: float  # eye to center bolt along the spring [m]
    rear_half: float  # the same
    seat_height: float  # spring seat above the axle center [m]; negative for spring under axle
    rate: float  # vertical rate of one spring [N/m]
    load: float  # sprung load on one spring at ride height [N]
    arm_fraction: float  # share of a half length that acts as a rigid arm [-]
    half_rates: float  # rate of the front half over that of the rear half [-]
    spacing: float  # distance of the springs, left to right [m]
    # measured wind-up stiffness [N m/rad of wheel torque, thrust included], or None: then the
    # spring's own rate and halves give it
    wind_up: float | None
    wrap_control: float  # stiffness of a traction bar [N m/rad]; 0 without one


class LeafKeys(Table):
    """Leaf springs; points of one spring in side view."""

    kind = choice(Literal["leaf"], "What guides the axle: leaf springs.").also("type")
    front_eye: TableKey[SidePoint] = TableKey(SidePoint, "Front eye of the spring.", needed=True)
    shackle_pivot: TableKey[SidePoint] = TableKey(
        SidePoint, "Shackle pivot on the frame.", needed=True
    )
    shackle = need(
        In(LENGTH, "20 to 400 mm", "115 ± 3 mm", "50 to 250 mm"), "Shackle, pivot to spring eye."
    )
    shackle_kind = choice(
        ShackleKind,
        "Whether the spring eye hangs below the shackle pivot or stands above it.",
        "hanging",
    )
    front_half = need(HALF, "Front eye to center bolt, along the spring.")
    rear_half = need(HALF, "Center bolt to rear eye, along the spring.")
    seat_above_axle = optional(
        SEAT, "Spring seat above the axle center (spring over axle).", "one of the two is needed"
    )
    seat_below_axle = optional(
        SEAT, "Spring seat below the axle center (spring under axle).", "one of the two is needed"
    )
    rate = need(
        In(SPRING_RATE, "3 to 2000 N/mm", "48 N/mm ± 20 %", "8 to 900 N/mm"), "Rate of one spring."
    ).also("spring_rate stiffness spring_stiffness k")
    spring_load = optional(
        In(LOAD, "50 to 8000 kg", "6000 N", "120 to 6500 kg"),
        "Load that one spring carries.",
        "half of what is sprung of axle_load",
    )
    arm_fraction = default(
        "75 %", In(SHARE, "50 to 95 %", "75 %"), "Share of a half length that acts as a rigid arm."
    )
    half_rates = optional(
        In(RATIO, "0.1 to 10 :1", "2.07 to 1"),
        "Rate of the front half over that of the rear half.",
        "third power of rear_half over front_half",
    )
    spring_spacing = optional(
        WIDTH, "Distance of the springs, left to right.", "0.75 times track; without it 1000 mm"
    ).also("spring_width spring_centers")
    wind_up = optional(
        STIFFNESS,
        "Torque at the wheels that winds the axle up by a degree, both springs, as measured.",
        "from rate and the two halves",
    )
    wrap_control = optional(
        In(WIND_UP, "0 to 100000 N m/deg", "1600 N m/deg"),
        "Stiffness of a traction bar that holds the axle.",
        "no traction bar",
    ).also("traction_bar axle_wrap")
    NEEDS = ("seat_above_axle",)


def leaf(v: Values, s: Structure) -> LeafSprings:
    """Return leaf springs; what no scene says of them follows from their halves."""

    def at(key: str) -> Any:
        return v[f"suspension.{key}"]

    track, axle_load = v.get("axle.track"), v.get("vehicle.axle_load")
    sprung = 1 - v["vehicle.unsprung_share"]
    spacing = SPACING if track is None else SPACING_OF_TRACK * track
    return LeafSprings(
        front_eye=v.place("suspension.front_eye"),
        shackle_pivot=v.place("suspension.shackle_pivot"),
        shackle=at("shackle"),
        shackle_kind=s.shackle,
        front_half=at("front_half"),
        rear_half=at("rear_half"),
        seat_height=v.signed("suspension.seat_above_axle", needed=True),
        rate=at("rate"),
        load=v.derive(
            "suspension.spring_load",
            None if axle_load is None else sprung * axle_load / 2,
            "half of what is sprung of axle_load",
        ),
        arm_fraction=at("arm_fraction"),
        half_rates=v.derive(
            "suspension.half_rates",
            (at("rear_half") / at("front_half")) ** 3,
            "third power of rear_half over front_half",
        ),
        spacing=v.derive(
            "suspension.spring_spacing",
            spacing,
            v.display.length.say(SPACING, digits=0) if track is None else "0.75 times track",
            "assumed" if track is None else "derived",
        ),
        wind_up=v.get("suspension.wind_up"),
        wrap_control=v.derive("suspension.wrap_control", 0.0, "no traction bar", "assumed"),
    )
