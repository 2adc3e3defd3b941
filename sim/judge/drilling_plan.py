"""What is to be drilled for the brace of a bearing: holes, verdicts, moves, what is behind them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array
from sim.errors import DomainError
from sim.judge.drilling import Guide, guides
from sim.judge.holes import Drilled, drilled
from sim.judge.holes_move import Move, move_onto_old, nearest_move
from sim.measure.clearance.obstacles import apart_from_rods
from sim.measure.foot import foot_holes
from sim.measure.hook import Hook, hook_near
from sim.scene.parts import Brace, Configuration, Foot, Obstacle, Rail, Vector
from sim.units import INCH

NEAR = 0.06  # what is nearer to a hole [m] is named; a drill that breaks through, common practice
STEPS = {"metric": 0.001, "inch": INCH / 16}


@dataclass(frozen=True, slots=True, kw_only=True)
class Behind:
    """An obstacle near the axis of holes, on either side of the web.

    Attributes:
        name: Of the obstacle.
        apart: Least distance from the middle of a hole [m].
        holes: Numbers of the holes that it is near to.
    """

    name: str
    apart: float
    holes: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RailPlan:
    """One rail: holes as drawn, and what is near to them.

    Attributes:
        rail: The rail.
        holes: Of the foot, each with what the guide says of it.
        behind: Obstacles near to them, the nearest first.
    """

    rail: Rail
    holes: tuple[Drilled, ...]
    behind: tuple[Behind, ...]

    @property
    def broken(self) -> tuple[Drilled, ...]:
        """The holes that break the guide."""
        return tuple(hole for hole in self.holes if hole.broken)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillingPlan:
    """What is to be drilled for one bearing.

    Attributes:
        number: Of the bearing.
        bearing: Its center [m], (3,).
        brace, foot: Of it.
        guide: By which the holes are judged.
        rails: Left and right.
        middle: Station of the middle of the foot [m].
        hook: What a tape can hook on near that station, or None.
        move: Where holes break the guide, the least move of the foot by whole steps that keeps it,
            carried out on both rails; None where none does.
        onto_old: The same onto an old hole.
        others: Whether the foot as drawn keeps each other guide, by name.
    """

    number: int
    bearing: Vector
    brace: Brace
    foot: Foot
    guide: Guide
    rails: tuple[RailPlan, ...]
    middle: float
    hook: Hook | None
    move: Move | None
    onto_old: Move | None
    others: tuple[tuple[str, bool], ...]

    @property
    def keeps(self) -> bool:
        """Whether every hole keeps the guide."""
        return not any(one.broken for one in self.rails)


def missing_for_drilling(configuration: Configuration) -> tuple[str, ...]:
    """Return the tables of a scene that are missing, each with the keys that it needs."""
    braces = configuration.braces
    wanted = []
    for number in range(1, len(configuration.bearings) + 1):
        if number not in braces:
            wanted.append(f"[brace.{number}] with from and to")
        if number not in braces or braces[number].foot is None:
            wanted.append(f"[brace.{number}.foot] with holes and hole, along and upright")
    if not configuration.rails:
        wanted.append("[left_rail] with apart, up, height, flange and thickness")
    return tuple(wanted)


def drilling_plans(configuration: Configuration, guide: Guide) -> tuple[DrillingPlan, ...]:
    """Return what is to be drilled, one plan a bearing from the front.

    Args:
        configuration: The design to be built.
        guide: By which its holes are judged.

    Raises:
        DomainError: If it has no center bearing, or brace, foot or rails are not known.
    """
    here = f'nothing to drill on "{configuration.name}"'
    if not configuration.bearings:
        raise DomainError(f"{here}: it has no center bearing")
    missing = missing_for_drilling(configuration)
    if missing:
        raise DomainError(f"{here} yet: write {'; '.join(missing)}")
    return tuple(
        _plan(configuration, number, guide) for number in range(1, len(configuration.bearings) + 1)
    )


def _plan(configuration: Configuration, number: int, guide: Guide) -> DrillingPlan:
    """Return what is to be drilled for one bearing."""
    brace, center = configuration.braces[number], configuration.bearings[number - 1].point
    foot, rails = brace.foot, configuration.rails
    assert foot is not None  # drilling_plans found it
    places = [foot_holes(brace, center, rail) for rail in rails]
    found = [
        RailPlan(
            rail=rail,
            holes=drilled(rail, foot, there, guide),
            behind=_behind(rail, there, configuration.obstacles),
        )
        for rail, there in zip(rails, places, strict=True)
    ]
    step, broken = STEPS[configuration.display], any(one.broken for one in found)
    middle = brace.foot_at(center)[0]
    return DrillingPlan(
        number=number,
        bearing=center,
        brace=brace,
        foot=foot,
        guide=guide,
        rails=tuple(found),
        middle=middle,
        hook=hook_near(configuration, middle),
        move=nearest_move(rails, foot, places, guide, step) if broken else None,
        onto_old=move_onto_old(rails, foot, places, guide) if broken else None,
        others=tuple(
            (other.name, _keeps_all(rails, foot, places, other))
            for other in guides()
            if other.name != guide.name
        ),
    )


def _keeps_all(rails: Sequence[Rail], foot: Foot, places: Sequence[Array], guide: Guide) -> bool:
    """Return whether a foot keeps a guide on every rail."""
    return not any(
        hole.broken
        for rail, there in zip(rails, places, strict=True)
        for hole in drilled(rail, foot, there, guide)
    )


def _behind(rail: Rail, places: Array, obstacles: Sequence[Obstacle]) -> tuple[Behind, ...]:
    """Return the obstacles near to the holes of a foot in the web of a rail."""
    out = 1.0 if rail.side == "right" else -1.0
    outer = np.column_stack(
        (places[:, 0], np.full(len(places), out * rail.apart), places[:, 1] + rail.up)
    )
    deep = rail.flange if rail.kind == "box" else rail.wall  # a bolt goes through both its walls
    inner = outer - (0.0, out * deep, 0.0)
    found = []
    for obstacle in obstacles:
        apart = apart_from_rods(obstacle, outer, inner)
        near = tuple(int(h) + 1 for h in np.flatnonzero(apart <= NEAR))
        if near:
            least = max(0.0, float(apart.min()))
            found.append(Behind(name=obstacle.name, apart=least, holes=near))
    return tuple(sorted(found, key=lambda one: (one.apart, one.name)))
