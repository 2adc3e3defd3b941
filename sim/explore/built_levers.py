"""What a shop can still change once the shafts are cut and the holes are drilled.

Shims, the next hole of the brace, its slots, a wedge, a bracket turned square.  Where the scene
has no brace: shims up to 15 mm either way, and as far in the slots; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, combinations

import numpy as np

from sim import units
from sim.explore.cures_changes import BEARING, PINION, PUT_RIGHT, levers_of, signed
from sim.explore.cures_lever import Lever, lever_in
from sim.explore.cures_lines import amount, unit_of
from sim.explore.place_space import setting_at, space_of
from sim.scene.parts import Brace, Configuration, Design

NEAR = 0.015  # [m], shims and slots where no brace is written
ROWS, HOLES = 2, 2  # hole rows up or down, holes fore or aft, that are worth a try
SAME_ROW = 1e-6  # [m]


def levers_after(design: Design, plan: Design | None = None) -> tuple[Lever, ...]:
    """Return what can still be changed about a design, what is least work ahead.

    Args:
        design: Its values are numbers; a brace that it has says where its bearing may go.
        plan: What it was built by: its places say which shims are in; left out, the design.
    """
    built, plan = design.build(), plan or design
    found = [lever for lever in levers_of(design) if lever.work in (PUT_RIGHT, PINION)]
    for number in range(1, len(design.structure.tubes)):
        found += _bearing(design, number, built.braces.get(number), _shims_in(built, number, plan))
    return tuple(sorted((lever for lever in found if lever.says), key=lambda one: one.work))


def _shims_in(built: Configuration, number: int, plan: Design) -> float:
    """Return how high the shims are by which a bearing was to be hung [m]."""
    hung = np.array([signed(plan, f"bearing.{number}.{key}") for key in ("aft", "right", "up")])
    set_at = setting_at(space_of(built, number), hung)
    return 0.0 if set_at is None else sum(set_at[0].shims)


def _bearing(design: Design, number: int, brace: Brace | None, shims: float) -> Iterator[Lever]:
    """Yield a bearing shimmed, moved in its slots, and hung in the next hole along the frame."""
    path = f"bearing.{number}"
    yield _lever(design, number, "up", *_heights(design, path, brace, shims))
    aside = _aside(design, path, brace)
    yield _lever(
        design, number, "right", aside, [f"move bearing {number} in its slots"] * len(aside)
    )
    if brace is not None and brace.hole_pitch:
        holes = [k * brace.hole_pitch for k in range(-HOLES, HOLES + 1) if k]
        within = _within(design, f"{path}.aft", holes, brace, 0)
        says = [f"hang bearing {number} in another hole"] * len(within)
        yield _lever(design, number, "aft", within, says)


def _lever(
    design: Design, number: int, key: str, moves: Sequence[float], says: Sequence[str]
) -> Lever:
    """Return a bearing moved one way by several distances [m]."""
    path = f"bearing.{number}.{key}"
    value = signed(design, path)
    ways = {"up": ("higher", "lower"), "right": ("to the right", "to the left")}
    plus, minus = ways.get(key, ("aft", "forward"))
    unit = unit_of(design, units.LENGTH, path)
    told = [
        f"{what}, {amount(units.LENGTH, abs(move), unit)} {plus if move > 0 else minus}"
        for what, move in zip(says, moves, strict=True)
    ]
    far = np.asarray(moves, float)
    tried = {"up": "shims", "right": "slots"}.get(key, "holes")
    return lever_in(
        f"{tried} of bearing {number}",
        BEARING,
        np.argsort(np.argsort(far)),
        1e3 * np.abs(far),
        {path: value + far},
        told,
    )


def _heights(
    design: Design, path: str, brace: Brace | None, shims: float
) -> tuple[list[float], list[str]]:
    """Return how far a bearing can go up or down [m], and how; shims that are in lower it."""
    number = path.rpartition(".")[2]
    if brace is None or (brace.row_pitch is None and not brace.shims):
        moves = _even(design, path, NEAR)
        return moves, [f"shim bearing {number}"] * len(moves)
    packs = sorted({round(sum(pack), 6) for pack in _packs(brace.shims)})
    found: dict[float, str] = {}
    for row in sorted(range(-ROWS, ROWS + 1) if brace.row_pitch else [0], key=abs):
        for high in packs:
            move = row * (brace.row_pitch or 0.0) - (high - shims)
            if abs(move) > SAME_ROW:
                found.setdefault(round(move, 6), _how(design, path, row, high, shims))
    within = _within(design, f"{path}.up", list(found), brace, 2)
    return within, [found[move] for move in within]


def _how(design: Design, path: str, rows: int, high: float, shims: float) -> str:
    """Return how a bearing gets to another height, with shims so high in place of others."""
    number, unit = path.rpartition(".")[2], unit_of(design, units.LENGTH, f"{path}.up")
    if not rows:
        more = amount(units.LENGTH, abs(high - shims), unit)
        if high > shims:
            return f"put {more} of shims to bearing {number}"
        return f"take {more} of shims out at bearing {number}"
    count = ("one hole row", "two hole rows")[abs(rows) - 1]
    hung = f"hang bearing {number} {count} {'up' if rows > 0 else 'down'}"
    if high:
        return f"{hung} with {amount(units.LENGTH, high, unit)} of shims"
    return f"{hung} without its shims" if shims else hung


def _packs(shims: Sequence[float]) -> Iterator[tuple[float, ...]]:
    """Yield what shims, one of each size, can be put together, none first."""
    return chain.from_iterable(combinations(shims, count) for count in range(len(shims) + 1))


def _aside(design: Design, path: str, brace: Brace | None) -> list[float]:
    """Return how far a bearing can go to the right, or left below 0 [m]."""
    if brace is None:
        return _even(design, path, NEAR)
    middle = float(brace.start[1] + brace.end[1]) / 2
    half = abs(float(brace.end[1] - brace.start[1])) / 2
    reach = half if brace.slot is None else brace.slot
    moves = _even(design, path, 2 * reach)
    here = signed(design, f"{path}.right")
    return [move for move in moves if abs(here + move - middle) <= reach + SAME_ROW]


def _within(
    design: Design, path: str, moves: Sequence[float], brace: Brace, way: int
) -> list[float]:
    """Return the moves that stay within the free space of a brace."""
    ends = sorted((float(brace.start[way]), float(brace.end[way])))
    here, slack = signed(design, path), 0.005  # as built it may be a little outside
    return [move for move in moves if ends[0] - slack <= here + move <= ends[1] + slack]


def _even(design: Design, path: str, reach: float) -> list[float]:
    """Return even steps of a tape both ways [m]."""
    inch = unit_of(design, units.LENGTH, f"{path}.up") == "in"
    step = 25.4e-3 / 16 if inch else 1e-3
    count = int(reach / step + SAME_ROW)
    return [k * step for k in range(-count, count + 1) if k]
