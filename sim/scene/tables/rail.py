"""[left_rail], [right_rail]: the side rails of the frame, as the brace is bolted to them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from sim.scene.allowed import In
from sim.scene.keys import Problem, choice, need, optional
from sim.scene.places import ALONG, UPRIGHT
from sim.scene.structure import RailKind, Structure
from sim.scene.table import NamedKey, Table, named
from sim.scene.tables.brace import HOLE
from sim.scene.values import Values
from sim.units import LENGTH

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")
THICKNESS = In(LENGTH, "1 to 25 mm", "4 mm", "2 to 12 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A hole that a rail has already."""

    name: str  # what it is for
    aft: float  # its center behind the datum [m]
    up: float  # its center above the rail's bottom edge [m]
    diameter: float  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rail:
    """A side rail of the frame; its web stands upright, its flanges point inward."""

    side: Side  # seen from behind
    apart: float  # middle of the vehicle to the outer face of its web [m]
    up: float  # its bottom edge above the datum [m]
    height: float  # of its web, edge to edge [m]
    flange: float  # width of its flanges [m]
    wall: float  # thickness of the web [m]
    kind: RailKind  # open inward, or a box
    holes: tuple[Hole, ...]  # that it has already


class HoleKeys(Table):
    """A hole that the rail has already."""

    aft = optional(ALONG, "Its center behind the datum.", "forward is written")
    forward = optional(ALONG, "Its center ahead of the datum, instead of aft.", "see aft")
    up = need(In(LENGTH, "0 to 600 mm", "90 mm"), "Its center above the rail's bottom edge.")
    diameter = need(HOLE, "Its diameter.").also("dia size")
    NEEDS = ("aft",)


class RailKeys(Table):
    """A side rail of the frame where the brace is bolted to it; its web stands upright."""

    apart = need(
        In(LENGTH, "100 to 1500 mm", "430 ± 2 mm", "250 to 700 mm"),
        "Middle of the vehicle to the outer face of the rail's web.",
    ).also("offset half_width")
    up = optional(UPRIGHT, "Its bottom edge above the datum.", "down is written")
    down = optional(UPRIGHT, "Its bottom edge below the datum, instead of up.", "see up")
    height = need(
        In(LENGTH, "40 to 500 mm", "180 ± 1 mm", "70 to 350 mm"), "Its web, edge to edge."
    ).also("depth web")
    flange = need(In(LENGTH, "20 to 200 mm", "65 ± 1 mm"), "Width of its flanges.")
    thickness = need(THICKNESS, "Thickness of its web.").also("gauge")
    kind = choice(RailKind, "Open toward the middle, or a box.", "channel").also("section")
    hole: NamedKey[dict[str, HoleKeys]] = named(
        HoleKeys, "Holes that it has already.", most=40
    ).also("holes")
    NEEDS = ("up",)

    def check(self) -> Iterator[Problem]:
        """Refuse a hole beyond the web."""
        for name, hole in self.hole.items():
            if hole.up.value > self.height.value:
                yield ("hole", name), f".up is {hole.up.text}; the web is {self.height.text} high"


def rails(v: Values, s: Structure) -> tuple[Rail, ...]:
    """Return the rails, left and right; one written alone stands for both."""
    written = [side for side in SIDES if side in s.rails]
    return tuple(
        _rail(v, s, side, side if side in s.rails else written[0]) for side in SIDES if written
    )


def _rail(v: Values, s: Structure, side: Side, written: Side) -> Rail:
    """Return a rail as one of the two was written."""
    path, (kind, names) = f"{written}_rail", s.rails[written]
    return Rail(
        side=side,
        apart=v[f"{path}.apart"],
        up=v.signed(f"{path}.up", needed=True),
        height=v[f"{path}.height"],
        flange=v[f"{path}.flange"],
        wall=v[f"{path}.thickness"],
        kind=kind,
        holes=tuple(_hole(v, f"{path}.hole.{name}", name) for name in names),
    )


def _hole(v: Values, path: str, name: str) -> Hole:
    """Return a hole."""
    return Hole(
        name=name,
        aft=v.signed(f"{path}.aft", needed=True),
        up=v[f"{path}.up"],
        diameter=v[f"{path}.diameter"],
    )
