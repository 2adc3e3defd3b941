"""[travel] and [height]: how far the axle goes, and the heights with a name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.scene.allowed import In
from sim.scene.keys import Problem, TextKey, default, need, optional
from sim.scene.places import TRAVEL
from sim.scene.structure import Structure
from sim.scene.table import Pair, Table
from sim.scene.values import Values, plain
from sim.units import ANGLE, LENGTH, LOAD


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """A named height of the axle."""

    name: str  # as in "ride height", "full droop", "loaded", "parked low"
    left: float  # wheel travel from ride height [m], bump positive
    right: float  # the same
    turning: bool = True  # whether the shafts may turn there; they do not when parked low
    cases: tuple[str, ...] = ()  # names of the torque cases that run there; empty means all
    axle_load: float | None = None  # on the driven axle there [N], or None: the vehicle's


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """How far the axle goes from ride height [m], both as positive distances, and its roll."""

    droop: float  # to full droop [m]
    bump: float  # to the solid stop [m]
    parked_low: float | None  # up to where it parks with empty air springs [m], or None
    roll: float  # how far the axle rolls to each side [rad]
    heights: tuple[Height, ...] = ()  # named ones of the scene's own


class TravelKeys(Table):
    """How far the axle goes from ride height, both wheels together."""

    droop = need(In(LENGTH, "0 to 500 mm", "110 ± 5 mm"), "Down to full droop.").also(
        "down rebound"
    )
    bump = need(TRAVEL, "Up to the solid bump stop.").also("up jounce compression")
    parked_low = optional(
        TRAVEL,
        "Up to where it parks with the air springs empty, shafts not turning.",
        "no such state",
    )
    roll = default(
        "0 deg",
        In(ANGLE, "0 to 20 deg", "4 deg"),
        "One wheel up, one down: how far the axle rolls to each side.",
    )

    def check(self) -> Iterator[Problem]:
        """Refuse a parked axle above the bump stop."""
        if self.parked_low is not None and self.parked_low.value < self.bump.value:
            said = f" is {self.parked_low.text}; parked low is above bump, which is "
            yield ("parked_low",), said + self.bump.text


class HeightKeys(Table):
    """A named ride height: both wheels, or each on its own."""

    bump = optional(TRAVEL, "Both wheels up by this.", "see droop")
    droop = optional(TRAVEL, "Both wheels down by this.", "see bump")
    left_bump = optional(TRAVEL, "Left wheel up by this.", "see left_droop")
    left_droop = optional(TRAVEL, "Left wheel down by this.", "see left_bump")
    right_bump = optional(TRAVEL, "Right wheel up by this.", "see right_droop")
    right_droop = optional(TRAVEL, "Right wheel down by this.", "see right_bump")
    axle_load = optional(
        In(LOAD, "100 to 20000 kg", "2100 ± 30 kg"),
        "Weight on the driven axle at this height.",
        "on leaf springs from rate and travel; else that of [vehicle]",
    ).also("load")
    torque_cases: TextKey[str | None] = TextKey(
        "Names of the torque cases that run there, commas between.", left_out="all"
    )

    def pairs(self) -> tuple[Pair, ...]:
        """Return the keys that exclude one another: either both wheels together, or each."""
        apart = {"left_bump", "left_droop", "right_bump", "right_droop"} & self.written
        both = [(key, min(apart), False) for key in ("bump", "droop") if apart]
        return (
            ("bump", "droop", not apart),
            ("left_bump", "left_droop", bool(apart)),
            ("right_bump", "right_droop", bool(apart)),
            *both,
        )

    @property
    def together(self) -> bool:
        """Whether both wheels stand alike."""
        return self.bump is not None or self.droop is not None

    @property
    def cases(self) -> tuple[str, ...]:
        """Names of the torque cases that run there; empty means all."""
        written = self.torque_cases
        return tuple(name.strip() for name in written.split(",")) if written else ()


def travel(v: Values, s: Structure) -> Travel | None:
    """Return how far the axle goes, with its named heights, or None at ride height only."""
    if "travel.droop" not in v:
        return None
    return Travel(
        droop=v["travel.droop"],
        bump=v["travel.bump"],
        parked_low=v.get("travel.parked_low"),
        roll=v["travel.roll"],
        heights=tuple(_height(v, s, name) for name in s.heights),
    )


def _height(v: Values, s: Structure, name: str) -> Height:
    path = f"height.{name}"
    together = f"{path}.bump" in v or f"{path}.droop" in v
    side = ("", "") if together else ("left_", "right_")
    left, right = (v.signed(f"{path}.{which}bump", needed=True) for which in side)
    return Height(
        name=name,
        left=left,
        right=right,
        cases=s.heights[name],
        axle_load=_axle_load(v, s, path, left + right),
    )


def _axle_load(v: Values, s: Structure, path: str, travels: Any) -> Any:
    """Return the weight on the driven axle at a height [N], or None where only that at ride is.

    What is loaded stands on the springs, whose rate tells it; at the least nothing is left on them.
    """
    at_ride = v.get("vehicle.axle_load")
    if at_ride is None or s.suspension != "leaf":
        return v.get(f"{path}.axle_load")
    sprung = at_ride + v["suspension.rate"] * travels
    return v.derive(
        f"{path}.axle_load",
        plain(np.maximum(sprung, v["vehicle.unsprung_share"] * at_ride)),
        "axle_load at ride height and 2 times rate times travel",
    )
