"""The tables of a scene file that describe the vehicle, with their keys, ranges and defaults."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from sim import units
from sim.scene.fields import (
    Count,
    In,
    Part,
    Plan,
    Point,
    SidePoint,
    Slope,
    Upright,
    WindUp,
    default,
    need,
    optional,
    pair,
)
from sim.scene.quantity import Quantity

NO_CASE = "no torque case is derived"

_Turned = Annotated[Quantity, In(units.ANGLE, "0 deg", "20 deg", "1.5 deg")]
_Travel = Annotated[Quantity, In(units.LENGTH, "0 mm", "500 mm", "95 ± 8 mm")]
_Seat = Annotated[Quantity, In(units.LENGTH, "0 mm", "400 mm", "95 ± 2 mm")]
_Half = Annotated[
    Quantity, In(units.LENGTH, "150 mm", "1500 mm", "620 ± 3 mm", usual=("300 mm", "1100 mm"))
]
_Move = Annotated[Quantity, In(units.LENGTH, "0 mm", "50 mm", "6 mm")]
_Tip = Annotated[Quantity, In(units.ANGLE, "0 deg", "5 deg", "0.5 deg")]
_Width = Annotated[
    Quantity, In(units.LENGTH, "200 mm", "3 m", "1500 ± 10 mm", usual=("600 mm", "2500 mm"))
]


class Vehicle(Part):
    """What plates and papers say."""

    axle_ratio: Annotated[
        Quantity, In(units.RATIO, "1 to 1", "12 to 1", "4.10 to 1", usual=("2.3 to 1", "8 to 1"))
    ] = need("Ratio of the driven axle.")
    tire_radius: Annotated[
        Quantity, In(units.LENGTH, "200 mm", "800 mm", "395 ± 5 mm", usual=("240 mm", "600 mm"))
    ] = need("Axle center to ground, loaded.")
    tire_circumference: (
        Annotated[
            Quantity,
            In(units.LENGTH, "1200 mm", "5500 mm", "2545 mm", usual=("1500 mm", "3900 mm")),
        ]
        | None
    ) = optional("Distance rolled in one turn of the tire.", "6.44 times tire_radius, ± 2 %")
    top_speed: Annotated[
        Quantity,
        In(
            units.ROAD_SPEED,
            "20 km/h",
            "320 km/h",
            "155 km/h",
            exact=True,
            usual=("40 km/h", "280 km/h"),
        ),
    ] = need("Highest road speed that the driveline must stand.")
    axle_load: (
        Annotated[
            Quantity,
            In(units.LOAD, "100 kg", "15000 kg", "1448 ± 30 kg", usual=("300 kg", "13000 kg")),
        ]
        | None
    ) = optional("Weight on the driven axle.", NO_CASE)
    axle_capacity: Annotated[Quantity, In(units.LOAD, "100 kg", "20000 kg", "2600 kg")] | None = (
        optional("Load that the maker allows on the driven axle.", "not known")
    )
    unsprung_share: Annotated[Quantity, In(units.SHARE, "2 %", "60 %", "15 %")] = default(
        "15 %", "Share of axle_load that the springs do not carry."
    )
    engine_torque: (
        Annotated[
            Quantity,
            In(units.TORQUE, "30 N m", "5000 N m", "610 N m", usual=("70 N m", "3500 N m")),
        ]
        | None
    ) = optional("Highest engine torque.", NO_CASE)
    engine_cut_off: (
        Annotated[
            Quantity,
            In(
                units.SHAFT_SPEED,
                "1000 rpm",
                "12000 rpm",
                "5600 rpm",
                usual=("1500 rpm", "9000 rpm"),
            ),
        ]
        | None
    ) = optional("Engine speed at the governor or limiter.", "not checked")
    cylinders: (
        Annotated[Quantity, In(units.CYLINDERS, "1 cylinder", "16 cylinders", "8 cylinders")] | None
    ) = optional("Cylinders of the engine, four-stroke.", "the engine's firing is not looked at")
    first_gear: (
        Annotated[
            Quantity,
            In(units.RATIO, "1 to 1", "25 to 1", "4.17 to 1", usual=("1 to 1", "18 to 1")),
        ]
        | None
    ) = optional("Lowest gear of the transmission.", NO_CASE)
    top_gear: Annotated[
        Quantity, In(units.RATIO, "0.3 to 1", "2 to 1", "0.69 to 1", usual=("0.5 to 1", "1.2 to 1"))
    ] = default("1 to 1", "Highest gear.")
    low_range: Annotated[
        Quantity, In(units.RATIO, "1 to 1", "10 to 1", "2.64 to 1", usual=("1 to 1", "5 to 1"))
    ] = default("1 to 1", "Low range of the transfer case.")
    converter: Annotated[
        Quantity, In(units.RATIO, "1 to 1", "4 to 1", "1.9 to 1", usual=("1 to 1", "3 to 1"))
    ] = default("1 to 1", "Torque ratio of the converter at stall; 1 to 1 is a clutch.")
    tire_grip: Annotated[Quantity, In(units.SHARE, "10 %", "150 %", "90 ± 10 %")] = default(
        "90 ± 10 %", "Grip at which the tires slip."
    )
    load_transfer: Annotated[Quantity, In(units.SHARE, "0 %", "60 %", "20 %")] = default(
        "20 %", "How much more load the driven axle carries on a hard launch."
    )


class Frame(Part):
    """How the truck stood while it was measured."""

    slope: Annotated[
        Quantity,
        In(
            units.ANGLE,
            "-10 deg",
            "10 deg",
            "-1.2 ± 0.1 deg",
            tails=("to level",),
            usual=("-5 deg", "5 deg"),
        ),
    ] = need("Slope of the frame rail, read with a level; front end high is positive.")


class AsDesigned(Part):
    """What the maker's drawing says of the output, to check the readings with."""

    up: Upright | None = optional("Height above the datum.", "not known, or down is written")
    down: Upright | None = optional("Depth below the datum, instead of up.", "see up")
    slope: Slope | None = optional("Slope of the output axis.", "not known")

    @model_validator(mode="after")
    def _one_way(self) -> AsDesigned:
        pair(self, "up", "down", needed=False)
        return self


class Output(Point):
    """Center of the first joint, on the transmission or transfer case."""

    slope: Slope = need("Slope of the output axis; front end high is positive.")
    plan_angle: Plan = default(
        "0 ± 0.3 deg", "Top view angle; positive runs to the right toward the rear."
    )
    moves: _Move = default("5 mm", "How far it may move on its mounts, to any side.")
    tips: _Tip = default("0.3 deg", "How far its slope may change as it moves on its mounts.")
    as_designed: AsDesigned | None = optional(
        "Height and slope by the maker's drawing, to check the readings with.", "not known"
    )


class Pinion(Point):
    """Center of the last joint, at ride height."""

    slope: Slope = need("Slope of the pinion axis; nose up is positive.")
    plan_angle: Plan = default(
        "0 ± 0.3 deg", "Top view angle; positive runs to the right toward the rear."
    )
    nose_up: _Turned | None = optional(
        "Wedge or turned seats: the housing turns nose up about the axle center.", "0 deg"
    )
    nose_down: _Turned | None = optional("The same, nose down; instead of nose_up.", "0 deg")
    slope_on_wedge: Slope | None = optional(
        "Slope read again with the wedge in, to check it with.", "not read"
    )

    @model_validator(mode="after")
    def _one_way(self) -> Pinion:
        pair(self, "nose_up", "nose_down", needed=False)
        return self


class Axle(SidePoint):
    """Center of the axle, at ride height."""

    track: _Width | None = optional("Distance of the tire centers, left to right.", "not known")


class Leaf(Part):
    """Leaf springs; points of one spring in side view."""

    kind: Literal["leaf"] = need("What guides the axle: leaf springs.")
    front_eye: SidePoint = need("Front eye of the spring.")
    shackle_pivot: SidePoint = need("Shackle pivot on the frame.")
    shackle: Annotated[
        Quantity, In(units.LENGTH, "20 mm", "400 mm", "115 ± 3 mm", usual=("50 mm", "250 mm"))
    ] = need("Shackle, pivot to spring eye.")
    shackle_kind: Literal["hanging", "standing"] = default(
        "hanging", "Whether the spring eye hangs below the shackle pivot or stands above it."
    )
    front_half: _Half = need("Front eye to center bolt, along the spring.")
    rear_half: _Half = need("Center bolt to rear eye, along the spring.")
    seat_above_axle: _Seat | None = optional(
        "Spring seat above the axle center (spring over axle).", "one of the two is needed"
    )
    seat_below_axle: _Seat | None = optional(
        "Spring seat below the axle center (spring under axle).", "one of the two is needed"
    )
    rate: Annotated[
        Quantity,
        In(
            units.SPRING_RATE, "3 N/mm", "2000 N/mm", "48 N/mm ± 20 %", usual=("8 N/mm", "900 N/mm")
        ),
    ] = need("Rate of one spring.")
    spring_load: (
        Annotated[
            Quantity, In(units.LOAD, "50 kg", "8000 kg", "6000 N", usual=("120 kg", "6500 kg"))
        ]
        | None
    ) = optional("Load that one spring carries.", "half of what is sprung of axle_load")
    arm_fraction: Annotated[Quantity, In(units.SHARE, "50 %", "95 %", "75 %")] = default(
        "75 %", "Share of a half length that acts as a rigid arm."
    )
    half_rates: Annotated[Quantity, In(units.RATIO, "0.1 to 1", "10 to 1", "2.07 to 1")] | None = (
        optional(
            "Rate of the front half over that of the rear half.",
            "third power of rear_half over front_half",
        )
    )
    spring_spacing: _Width | None = optional(
        "Distance of the springs, left to right.", "0.75 times track; without it 1000 mm"
    )
    wind_up: WindUp | None = optional(
        "Torque at the wheels that winds the axle up by a degree, both springs, as measured.",
        "from rate and the two halves",
    )
    wrap_control: (
        Annotated[Quantity, In(units.WIND_UP, "0 N m/deg", "100000 N m/deg", "1600 N m/deg")] | None
    ) = optional("Stiffness of a traction bar that holds the axle.", "no traction bar")

    @model_validator(mode="after")
    def _seat(self) -> Leaf:
        pair(self, "seat_above_axle", "seat_below_axle", needed=True)
        return self


class Links(Part):
    """An axle on links; points of one side in side view."""

    kind: Literal["links"] = need("What guides the axle: links.")
    lower_frame: SidePoint = need("Lower link, frame end.")
    lower_axle: SidePoint = need("Lower link, axle end.")
    upper_frame: SidePoint = need("Upper link, frame end.")
    upper_axle: SidePoint = need("Upper link, axle end.")
    wind_up: WindUp = default(
        "2500 N m/deg ± 50 %", "Torque at the wheels per degree, from the bushings."
    )


class FrameMounted(Part):
    """A final drive in rubber on the frame, which does not move with the wheels."""

    kind: Literal["frame mounted"] = need("The final drive hangs on the frame.")
    mount: SidePoint = need("Point about which the final drive tips on its mounts.")
    wind_up: WindUp = default(
        "3000 N m/deg ± 50 %", "Torque at the wheels that tips it by a degree."
    )


class Jacked(Point):
    """The pinion joint, measured at another height."""

    bump: Annotated[Quantity, In(units.LENGTH, "1 mm", "400 mm", "70 ± 3 mm")] | None = optional(
        "Axle raised by this.", "one of the two is needed"
    )
    droop: Annotated[Quantity, In(units.LENGTH, "1 mm", "400 mm", "110 ± 3 mm")] | None = optional(
        "Axle lowered by this.", "one of the two is needed"
    )
    slope: Slope = need("Slope of the pinion at that height.")
    plan_angle: Plan | None = optional("Top view angle at that height.", "that of [pinion]")

    @model_validator(mode="after")
    def _where(self) -> Jacked:
        pair(self, "bump", "droop", needed=True)
        return self


class Measured(Part):
    """Any axle, followed through readings at other heights; ride height is [pinion] itself."""

    kind: Literal["measured"] = need("The axle is followed through readings.")
    reading: dict[Count, Jacked] = need("Readings, numbered from 1.", min_length=1)
    wind_up: WindUp = default(
        "1500 N m/deg ± 60 %", "Torque at the wheels that turns the pinion by a degree."
    )


Suspension = Annotated[Leaf | Links | FrameMounted | Measured, Field(discriminator="kind")]
SUSPENSIONS = {"leaf": Leaf, "links": Links, "frame mounted": FrameMounted, "measured": Measured}


class Travel(Part):
    """How far the axle goes from ride height, both wheels together."""

    droop: Annotated[Quantity, In(units.LENGTH, "0 mm", "500 mm", "110 ± 5 mm")] = need(
        "Down to full droop."
    )
    bump: _Travel = need("Up to the solid bump stop.")
    parked_low: _Travel | None = optional(
        "Up to where it parks with the air springs empty, shafts not turning.", "no such state"
    )
    roll: Annotated[Quantity, In(units.ANGLE, "0 deg", "20 deg", "4 deg")] = default(
        "0 deg", "One wheel up, one down: how far the axle rolls to each side."
    )


class Height(Part):
    """A named ride height: both wheels, or each on its own."""

    bump: _Travel | None = optional("Both wheels up by this.", "see droop")
    droop: _Travel | None = optional("Both wheels down by this.", "see bump")
    left_bump: _Travel | None = optional("Left wheel up by this.", "see left_droop")
    left_droop: _Travel | None = optional("Left wheel down by this.", "see left_bump")
    right_bump: _Travel | None = optional("Right wheel up by this.", "see right_droop")
    right_droop: _Travel | None = optional("Right wheel down by this.", "see right_bump")
    axle_load: Annotated[Quantity, In(units.LOAD, "100 kg", "20000 kg", "2100 ± 30 kg")] | None = (
        optional(
            "Weight on the driven axle at this height.",
            "on leaf springs from rate and travel; else that of [vehicle]",
        )
    )
    torque_cases: str | None = optional(
        "Names of the torque cases that run there, commas between.", "all"
    )

    @model_validator(mode="after")
    def _where(self) -> Height:
        apart = {"left_bump", "left_droop", "right_bump", "right_droop"} & self.model_fields_set
        pair(self, "bump", "droop", needed=not apart)
        pair(self, "left_bump", "left_droop", needed=bool(apart))
        pair(self, "right_bump", "right_droop", needed=bool(apart))
        for key in ("bump", "droop"):
            if apart and getattr(self, key) is not None:
                pair(self, key, min(apart), needed=False)
        return self

    @property
    def cases(self) -> tuple[str, ...]:
        """Names of the torque cases that run there; empty means all."""
        written = self.torque_cases
        return tuple(name.strip() for name in written.split(",")) if written else ()


class OutputMove(Part):
    """How the output moves on its mounts under a torque case."""

    aft: _Move | None = optional("It moves aft.", "0 mm")
    forward: _Move | None = optional("It moves forward.", "0 mm")
    right: _Move | None = optional("It moves to the right.", "0 mm")
    left: _Move | None = optional("It moves to the left.", "0 mm")
    up: _Move | None = optional("It moves up.", "0 mm")
    down: _Move | None = optional("It moves down.", "0 mm")
    tips_up: _Tip | None = optional("Its front end tips up.", "0 deg")
    tips_down: _Tip | None = optional("Its front end tips down.", "0 deg")

    @model_validator(mode="after")
    def _one_way(self) -> OutputMove:
        for one, other in (
            ("aft", "forward"),
            ("right", "left"),
            ("up", "down"),
            ("tips_up", "tips_down"),
        ):
            pair(self, one, other, needed=False)
        return self


Torque = Annotated[
    Quantity,
    In(
        units.TORQUE,
        "-200000 N m",
        "200000 N m",
        "6058 N m at the wheels",
        tails=("at the wheels", "at the shaft"),
    ),
]
RoadSpeed = Annotated[
    Quantity,
    In(units.STATE_SPEED, "1 km/h", "320 km/h", "50 km/h", apart=(1.0, 2000.0)),
]
