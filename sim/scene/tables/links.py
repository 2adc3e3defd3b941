"""[suspension] with kind = "links": a live axle on links."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from sim.scene.keys import choice, default
from sim.scene.places import STIFFNESS, SidePoint
from sim.scene.structure import Structure
from sim.scene.table import Table, TableKey
from sim.scene.values import Values, Vector

ENDS = ("lower_frame", "lower_axle", "upper_frame", "upper_axle")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Links:
    """A live axle on side-view links, (aft, 0, up) [m]; wrap from the bushings."""

    on_frame: ClassVar[bool] = False
    lower_frame: Vector  # at ride height [m], (3,)
    lower_axle: Vector  # [m], (3,)
    upper_frame: Vector  # [m], (3,)
    upper_axle: Vector  # [m], (3,)
    wind_up: float  # wheel torque per turn of the pinion [N m/rad], thrust included


class LinksKeys(Table):
    """An axle on links; points of one side in side view."""

    kind = choice(Literal["links"], "What guides the axle: links.")
    lower_frame: TableKey[SidePoint] = TableKey(SidePoint, "Lower link, frame end.", needed=True)
    lower_axle: TableKey[SidePoint] = TableKey(SidePoint, "Lower link, axle end.", needed=True)
    upper_frame: TableKey[SidePoint] = TableKey(SidePoint, "Upper link, frame end.", needed=True)
    upper_axle: TableKey[SidePoint] = TableKey(SidePoint, "Upper link, axle end.", needed=True)
    wind_up = default(
        "2500 N m/deg ± 50 %", STIFFNESS, "Torque at the wheels per degree, from the bushings."
    )


def links(v: Values, s: Structure) -> Links:
    """Return the links."""
    points = {end: v.place(f"suspension.{end}") for end in ENDS}
    return Links(**points, wind_up=v["suspension.wind_up"])
