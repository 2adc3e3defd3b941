"""[brace.N]: where a center bearing may hang, and how its brace is bolted to the rails."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.errors import DomainError
from sim.scene.allowed import In
from sim.scene.keys import Problem, SizesKey, TextKey, need, optional
from sim.scene.places import Point
from sim.scene.structure import Structure
from sim.scene.table import Table, TableKey
from sim.scene.values import Values, Vector
from sim.units import LENGTH

PITCH = In(LENGTH, "3 to 500 mm", "12 mm", exact=True)
SHIM = In(LENGTH, "0.1 to 50 mm", "2 mm", exact=True)
HOLE = In(LENGTH, "4 to 40 mm", "13 mm", "6 to 20 mm", exact=True)
ASIDE = In(LENGTH, "0 to 600 mm", "30 mm", exact=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """The holes by which a brace is bolted to a rail, alike left and right."""

    columns: int  # holes fore and aft
    rows: int  # holes up and down
    along: float  # pitch fore and aft [m]
    upright: float  # pitch up and down [m]
    hole: float  # diameter of each [m]
    bolt: str | None  # its thread, as in "M12" or "1/2-13", or None where it is not known
    aft: float  # middle of the holes behind the bearing's center [m]
    up: float  # middle of the holes above it, or above the lowest hole row of the brace [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Brace:
    """The free space for the center of a bearing, and how its brace lets it be set."""

    start: Vector  # one corner [m], (3,)
    end: Vector  # the opposite corner [m], (3,)
    row_pitch: float | None  # of its hole rows, from the lower corner up [m]; None: any height
    hole_pitch: float | None  # of holes along the frame, from the forward corner [m]; None: any
    slot: float | None  # to either side of the middle of both corners [m]; None: anywhere between
    shims: tuple[float, ...]  # sizes there are [m]
    foot: Foot | None  # how it is bolted to the rails, or None

    def foot_at(self, bearing: Vector) -> tuple[float, float]:
        """Return where the middle of a foot's holes is with the bearing hung at a place.

        A brace with hole rows stays where it is bolted, whichever row the bearing hangs from.

        Args:
            bearing: Center of the bearing [m], (3,).

        Returns:
            Behind and above the datum [m].

        Raises:
            DomainError: If it has no foot.
        """
        if self.foot is None:
            raise DomainError("the brace has no foot")
        lowest = min(float(self.start[2]), float(self.end[2]))
        base = float(bearing[2]) if self.row_pitch is None else lowest
        return float(bearing[0]) + self.foot.aft, base + self.foot.up


class FootKeys(Table):
    """The holes by which the brace is bolted to the web of a rail, alike left and right."""

    holes: TextKey[str] = TextKey(
        "Holes fore and aft, by holes up and down.",
        pattern=r"^[1-6] by [1-6]$",
        rule='holes are counted fore and aft, then up and down, as in "2 by 2"',
        needed=True,
    ).also("pattern bolts")
    along = optional(PITCH, "Pitch of the holes fore and aft.", "a single column").also("pitch")
    upright = optional(PITCH, "Pitch of the holes up and down.", "a single row")
    hole = need(HOLE, "Diameter of each hole.").also("hole_diameter drill")
    bolt: TextKey[str | None] = TextKey(
        "Thread of the bolts, as in M12 or 1/2-13.",
        pattern=r"^(M\d{1,2}|\d{1,2}/\d{1,2}-\d{1,2})$",
        rule='a thread belongs here, as in "M12" or "1/2-13"',
        left_out="not known",
    ).also("thread screw")
    aft = optional(ASIDE, "Middle of the holes behind the bearing's center.", "level with it")
    forward = optional(ASIDE, "Middle of the holes ahead of it, instead of aft.", "see aft")
    up = optional(
        ASIDE,
        "Middle of the holes above the bearing's center; with row_pitch above the lowest row.",
        "level with it",
    )
    down = optional(ASIDE, "Middle of the holes below it, instead of up.", "see up")

    def check(self) -> Iterator[Problem]:
        """Refuse a row or a column of several holes without its pitch."""
        for count, key in zip(counts(self.holes), ("along", "upright"), strict=True):
            if count > 1 and self.values[key] is None:
                yield (), f" has {self.holes} holes; {key} is missing, their pitch"


class BraceKeys(Table):
    """Where the center of bearing N may hang: the space between two corners of a box."""

    from_: TableKey[Point] = TableKey(
        Point, "One corner of the space for the bearing's center.", needed=True
    )
    to: TableKey[Point] = TableKey(Point, "The opposite corner.", needed=True)
    row_pitch = optional(
        PITCH, "Pitch of the brace's hole rows, up from the lower corner.", "any height"
    ).also("rows")
    hole_pitch = optional(
        PITCH, "Pitch of the holes along the frame, from the forward corner.", "any station"
    )
    slot = optional(
        ASIDE,
        "How far slots let it be set to either side of the middle of both corners.",
        "anywhere between the corners",
    )
    shims: SizesKey = SizesKey(
        SHIM,
        "Sizes of shims that there are, one of each; they lower the bearing.",
        "1, 2, 3 mm",
        left_out="no shims",
    ).also("shim")
    foot: TableKey[FootKeys | None] = TableKey(
        FootKeys, "How it is bolted to the rails.", left_out="not known: no drilling template"
    )

    def check(self) -> Iterator[Problem]:
        """Refuse a space without length or height."""
        ends = zip(("aft", "right", "up"), self.from_.position, self.to.position, strict=True)
        same = [side for side, a, b in ends if abs(a - b) < 1e-9 and side != "right"]
        if len(same) == 2:
            yield (), " has one point for a space; from and to are opposite corners of a box"


def counts(holes: str) -> tuple[int, int]:
    """Return how many holes stand fore and aft, and up and down."""
    along, _, upright = holes.partition(" by ")
    return int(along), int(upright)


def brace(v: Values, s: Structure, number: int) -> Brace:
    """Return where a bearing may hang."""
    path = f"brace.{number}"
    shims, feet = s.braces[number]
    return Brace(
        start=v.place(f"{path}.from"),
        end=v.place(f"{path}.to"),
        row_pitch=v.get(f"{path}.row_pitch"),
        hole_pitch=v.get(f"{path}.hole_pitch"),
        slot=v.get(f"{path}.slot"),
        shims=shims,
        foot=None if feet is None else _foot(v, f"{path}.foot", *feet),
    )


def _foot(v: Values, path: str, holes: str, bolt: str | None) -> Foot:
    """Return the holes of a foot."""
    columns, rows = counts(holes)
    return Foot(
        columns=columns,
        rows=rows,
        along=v[f"{path}.along"] if columns > 1 else 0.0,
        upright=v[f"{path}.upright"] if rows > 1 else 0.0,
        hole=v[f"{path}.hole"],
        bolt=bolt,
        aft=v.signed(f"{path}.aft"),
        up=v.signed(f"{path}.up"),
    )
