"""[obstacle]: what must not be touched."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.scene.allowed import In
from sim.scene.keys import Problem, choice, default, optional
from sim.scene.places import Point
from sim.scene.structure import Carrier, ObstacleKind, Structure
from sim.scene.table import Table, TableKey
from sim.scene.values import Values, Vector
from sim.units import LENGTH

WANTED = In(LENGTH, "0 to 200 mm", "25 mm", exact=True)
SIZES = ("fore and aft", "side to side", "up and down")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Obstacle:
    """A box between two corners, or a round pipe between two ends."""

    name: str  # its name
    start: Vector  # corner or end [m], (3,)
    end: Vector  # the other [m], (3,)
    pipe: float | None  # outside diameter [m], or None for a box
    moves: float  # how far it moves, to any side [m]
    rides_on: Carrier  # what carries it
    kind: ObstacleKind  # what it is, for the clearance rules
    least_clearance: float | None  # clearance wanted [m], or None: then the rule for its kind


class ObstacleKeys(Table):
    """Something that the shafts must not touch: a box between two corners, or a round pipe."""

    from_: TableKey[Point] = TableKey(
        Point, "One corner of the box, or one end of the pipe.", needed=True
    )
    to: TableKey[Point] = TableKey(Point, "The opposite corner, or the other end.", needed=True)
    pipe = optional(
        In(LENGTH, "3 to 600 mm", "70 mm"), "Outside diameter of the pipe.", "a box"
    ).also("od")
    moves = default("0 mm", In(LENGTH, "0 to 100 mm", "10 mm"), "How far it moves, to any side.")
    rides_on = choice(Carrier, "What carries it.", "frame")
    kind = choice(ObstacleKind, "What it is, for the clearance rules.", "fixed part").also("type")
    least_clearance = optional(WANTED, "Clearance wanted.", "by its kind")

    def check(self) -> Iterator[Problem]:
        """Refuse a box or a pipe without size."""
        ends = zip(SIZES, self.from_.position, self.to.position, strict=True)
        same = [side for side, a, b in ends if abs(a - b) < 1e-9]
        said = f" has no size {' and '.join(same)}; "
        if self.pipe is not None and len(same) == 3:
            yield (), said + "from and to are its two ends"
        elif self.pipe is None and len(same) == 2:
            yield (), said + 'for a round pipe write pipe = "… mm", its outside diameter'
        elif self.pipe is None and same:
            yield (), said + "from and to are opposite corners"


def obstacle(v: Values, s: Structure, name: str) -> Obstacle:
    """Return an obstacle."""
    path, (carrier, kind) = f"obstacle.{name}", s.obstacles[name]
    return Obstacle(
        name=name,
        start=v.place(f"{path}.from"),
        end=v.place(f"{path}.to"),
        pipe=v.get(f"{path}.pipe"),
        moves=v[f"{path}.moves"],
        rides_on=carrier,
        kind=kind,
        least_clearance=v.get(f"{path}.least_clearance"),
    )
