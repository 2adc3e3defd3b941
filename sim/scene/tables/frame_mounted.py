"""[suspension] with kind = "frame mounted": a final drive in rubber on the frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from sim.scene.keys import choice, default
from sim.scene.places import STIFFNESS, SidePoint
from sim.scene.structure import Structure
from sim.scene.table import Table, TableKey
from sim.scene.values import Values, Vector


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FrameMounted:
    """A final drive in rubber on the frame, which does not move with the wheels."""

    on_frame: ClassVar[bool] = True
    mount: Vector  # point about which it tips [m], (3,)
    wind_up: float  # wheel torque per tip [N m/rad]


class FrameMountedKeys(Table):
    """A final drive in rubber on the frame, which does not move with the wheels."""

    kind = choice(Literal["frame mounted"], "The final drive hangs on the frame.")
    mount: TableKey[SidePoint] = TableKey(
        SidePoint, "Point about which the final drive tips on its mounts.", needed=True
    )
    wind_up = default(
        "3000 N m/deg ± 50 %", STIFFNESS, "Torque at the wheels that tips it by a degree."
    )


def frame_mounted(v: Values, s: Structure) -> FrameMounted:
    """Return the final drive on its mounts."""
    return FrameMounted(mount=v.place("suspension.mount"), wind_up=v["suspension.wind_up"])
