"""Quantities and places that several tables share."""

from __future__ import annotations

from typing import ClassVar

from sim.scene.allowed import In
from sim.scene.keys import QuantityKey, default, optional
from sim.scene.quantity import Quantity
from sim.scene.table import Table
from sim.units import ANGLE, LENGTH, WIND_UP

ALONG = In(LENGTH, "0 to 20000 mm", "1745 ± 3 mm")
SIDE = In(LENGTH, "0 to 1500 mm", "20 ± 2 mm")
UPRIGHT = In(LENGTH, "0 to 3000 mm", "568 ± 2 mm")
SLOPE = In(ANGLE, "-30 to 30 deg", "3.0 ± 0.25 deg", tails=("to level",))
PLAN = In(ANGLE, "-15 to 15 deg", "0 ± 0.3 deg")
STIFFNESS = In(WIND_UP, "20 to 100000 N m/deg", "819 N m/deg ± 40 %")
TRAVEL = In(LENGTH, "0 to 500 mm", "95 ± 8 mm")
MOVE = In(LENGTH, "0 to 50 mm", "6 mm")
TIP = In(ANGLE, "0 to 5 deg", "0.5 deg")
WIDTH = In(LENGTH, "200 to 3000 mm", "1500 ± 10 mm", "600 to 2500 mm")


def plan_angle() -> QuantityKey[Quantity]:
    """Declare the top view angle of an end of the driveline."""
    return default(
        "0 ± 0.3 deg", PLAN, "Top view angle; positive runs to the right toward the rear."
    )


class SidePoint(Table):
    """A point in side view."""

    aft = optional(ALONG, "Distance behind the datum.", "forward is written").also("x station")
    forward = optional(ALONG, "Distance ahead of the datum, instead of aft.", "aft")
    up = optional(UPRIGHT, "Height above the datum.", "down is written").also("z height")
    down = optional(UPRIGHT, "Depth below the datum, instead of up.", "up")
    NEEDS: ClassVar[tuple[str, ...]] = ("aft", "up")

    @property
    def position(self) -> tuple[float, float, float]:
        """Aft, right, up [m]."""
        return self.signed("aft"), self.signed("right"), self.signed("up")


class Point(SidePoint):
    """A point; on the middle of the frame where neither right nor left is written."""

    right = optional(SIDE, "Distance to the right of the middle.", "on the middle").also("y offset")
    left = optional(SIDE, "Distance to the left, instead of right.", "on the middle")
