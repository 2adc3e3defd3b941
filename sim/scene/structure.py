"""The structure of a design: kinds, counts and choices, which no number says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Material = Literal["steel", "aluminum"]
JointKind = Literal["universal", "double cardan", "constant velocity", "flexible"]
SplinePlace = Literal["output", "midship", "shaft"]
Coating = Literal["greased steel", "plastic coated"]
LifeBasis = Literal["5000 h at 3 deg and 100 rpm", "capacity times radius"]
When = Literal["drive", "coast", "any"]
Load = Literal["empty", "loaded", "any"]
SuspensionKind = Literal["leaf", "links", "frame mounted", "measured"]
ShackleKind = Literal["hanging", "standing"]
Carrier = Literal["frame", "axle"]
RailKind = Literal["channel", "box"]
ObstacleKind = Literal["fixed part", "line", "exhaust", "floor"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Structure:
    """Everything about a design that is no number; its numbers are values by path."""

    tubes: tuple[Material, ...]  # material of every shaft's tube, from the front; N shafts
    joints: tuple[JointKind, ...]  # kind of every joint, from the front; N + 1
    spline: SplinePlace  # where the spline that follows the axle slides
    coating: Coating = "greased steel"  # what slides in it
    # what guides the axle, or None where only ride height is looked at
    suspension: SuspensionKind | None = None
    shackle: ShackleKind = "hanging"  # how the shackle of a leaf spring stands
    # names of the heights, with the torque cases that run at each; empty means all
    heights: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    torque_cases: tuple[str, ...] = ()  # names of the torque cases that are written, in their order
    # names of the parts of the duty, with the torque case and the height of each
    duties: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    # names of the obstacles, with what carries each and what it is
    obstacles: Mapping[str, tuple[Carrier, ObstacleKind]] = field(default_factory=dict)
    # by number of the bearing, what shims its brace has [m], and holes and bolt of its foot, if any
    braces: Mapping[int, tuple[tuple[float, ...], tuple[str, str | None] | None]] = field(
        default_factory=dict
    )
    # sides whose rail is written, with its kind and the names of its holes
    rails: Mapping[str, tuple[RailKind, tuple[str, ...]]] = field(default_factory=dict)
    # names of the complaints, with when, under which load and in which configuration each is felt
    complaints: Mapping[str, tuple[When | None, Load | None, str | None]] = field(
        default_factory=dict
    )
    planned: frozenset[int] = frozenset()  # bearings whose place is one on paper, by number
    # by number of the joint, what its rating for life means
    life_bases: Mapping[int, LifeBasis] = field(default_factory=dict)
    series: str | None = None  # series of the joints, or None
    set_by_shop: frozenset[str] = frozenset()  # limits that are the shop's own
    # paths of values not taken the plain way: "to level" (a slope), "at the shaft" (a torque),
    # "teeth" (off_by), "rpm" (a road speed, in rad/s of the shaft)
    taken: Mapping[str, str] = field(default_factory=dict)

    def is_taken(self, path: str, how: str) -> bool:
        """Say whether the value at a path is taken in a way, as in "to level"."""
        return self.taken.get(path) == how
