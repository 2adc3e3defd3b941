"""``evaluate``: the numbers of many designs at once, in the states that rules look at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from math import ceil
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.arrays import Marks
from sim.errors import DomainError
from sim.measure.clearance.held import clearances_at
from sim.measure.deep import deep_numbers
from sim.measure.held import lengths_of, longest, numbers_of
from sim.measure.numbers import Apart, Deep, Numbers
from sim.measure.waves import unevenness_of
from sim.motion.chain import reference_of
from sim.motion.motion import Reference, Start
from sim.motion.postures import Postures, held_at
from sim.motion.request import Request
from sim.motion.rows import Rows, rows_of, rows_of_designs
from sim.motion.states import State
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration, Design

Array = NDArray[np.float64]
# Most rows worked on at once: enough to outweigh the calls, few enough for fast memory.
TOGETHER = 36_000
DEEP = 8_000  # the same of deep numbers, which hold more at a time
CUT = "cut "  # leads the paths of the design whose shafts are carried


@dataclass(frozen=True, slots=True)
class _Beyond:
    """What is wanted beyond the numbers that cost little."""

    deep: bool = False
    apart: bool = False


def evaluate(
    design: Design,
    values: Mapping[str, ArrayLike] | None = None,
    states: Sequence[State] | None = None,
    *,
    deep: bool = False,
    apart: bool = False,
    near: Numbers | None = None,
) -> Numbers:
    """Return the numbers that rules look at, of many designs at once.

    Args:
        design: The structure, and every value that is not varied.
        values: By path, as in "bearing.1.up", one value for each of B designs [SI unit, radians],
            shape (B,) or a number for all; "cut bearing.1.up" is that of the design whose shafts
            are carried.  Left out, the design as it is.
        states: States of the design; a named height stands where each design has it, one without
            a name at its share of droop or bump.  Left out, the whole sweep of the first design.
        deep: Whether to return beam whirl, strength, life and clearance too, which cost more.
        apart: Whether to return clearance alone, of parts whose size is known: the cheap half of
            ``deep``, which it may not go with.
        near: Of a design near by in these states and perhaps others, which the states belong to;
            needs ``states``.  Left out, many designs start from the first of them.

    Returns:
        Numbers of shape (B, S), those of one design without ``near`` bit for bit what
        ``measure(solve(…))`` gives.
        What cannot be reached is marked in ``lost``; its numbers mean nothing, but are finite.
        Memory beyond them does not grow with B.

    Raises:
        DomainError: If a path is none of the design, a value is no finite number, arrays differ in
            length, or there are no states, or others than those of ``near``.

    Example:
        >>> from sim.scene.reader import load_scene
        >>> truck = load_scene("scenes/orchard_service_truck.toml").configuration("two-piece")
        >>> evaluate(truck.design, {"bearing.1.up": [0.528, 0.531, 0.534]}).gap.shape[0]
        3
    """
    given = {path: np.atleast_1d(np.asarray(v, float)) for path, v in (values or {}).items()}
    count = _count(given)
    if near is not None:
        start = near.start_in(states or ())
        more = _Beyond(deep, apart)
        return _many(design, given, tuple(states or ()), near.configuration, count, start, more)
    first = varied(design, {path: float(value[0]) for path, value in given.items()}).build()
    if states is None:
        chosen, read = sweep_states(first), first
    else:
        chosen, read = tuple(states), design.build() if given else first
    if not chosen:
        raise DomainError("evaluate needs at least one state")
    one = (
        rows_of(first, chosen) if read is first else _only(rows_of_designs(first, chosen, read, 1))
    )
    beyond = _Beyond(deep, apart)
    found = _numbers(first, one, (), beyond if count == 1 else _Beyond())
    if count == 1:
        return _finite(found)
    if found.lost.any() and read is not first:
        found = _numbers(read, rows_of(read, chosen), (), _Beyond())
    return _many(design, given, chosen, read, count, found.start_in(chosen), beyond)


def _many(
    design: Design,
    given: Mapping[str, Array],
    chosen: tuple[State, ...],
    read: Configuration,
    count: int,
    start: Start,
    beyond: _Beyond,
) -> Numbers:
    """Return the numbers of many designs, so many at a time."""
    near = tuple(column[:, None] for column in start)
    together = varied(design, given)
    parts = ceil(count * len(chosen) / (DEEP if beyond.deep else TOGETHER))
    size = max(2, ceil(count / parts))
    whole: dict[str, Any] = {}
    more: dict[str, Any] = {}
    for low in range(0, count, size):
        here = slice(low, min(low + size, count))
        some = together if size >= count else together.some(here)
        built = some.build()
        rows = rows_of_designs(built, chosen, read, here.stop - low)
        part = _finite(_numbers(built, rows, near, beyond))
        _keep(whole, part, here, count)
        if (also := part.deep or part.apart) is not None:
            more["pairs"] = also.pairs
            _keep(more, also, here, count)
    configuration = built if some is together else together.build()
    return Numbers(
        configuration=configuration,
        states=chosen,
        deep=Deep(**more) if beyond.deep else None,
        apart=Apart(**more) if beyond.apart else None,
        **whole,
    )


def varied(design: Design, values: Mapping[str, Any]) -> Design:
    """Return a design with other values, those led by "cut " of the one whose shafts it carries.

    Args:
        design: The design.
        values: By path, numbers or arrays of shape (B,) [SI unit, radians]; of one value: a number.

    Returns:
        The design.

    Raises:
        DomainError: If a path is none of the design, or arrays differ in length.
    """
    plain = {
        path: float(v[0]) if np.size(v) == 1 and np.ndim(v) else v for path, v in values.items()
    }
    own = {path: value for path, value in plain.items() if not path.startswith(CUT)}
    other = {p.removeprefix(CUT): value for p, value in plain.items() if p.startswith(CUT)}
    changed = design.vary(own) if own else design
    if not other:
        return changed
    if design.cut_as is None:
        raise DomainError(f'design "{design.name}" carries no shafts of another one')
    return replace(changed, cut_as=design.cut_as.vary(other))


def _count(given: Mapping[str, Array]) -> int:
    """Return how many designs there are; every value of them must be a number."""
    for path, value in given.items():
        if not np.isfinite(value).all():
            raise DomainError(f"values of {path} must be finite numbers; got {value}")
    lengths = {len(value) for value in given.values()} - {1} or {1}
    if len(lengths) > 1 or 0 in lengths:
        raise DomainError(f"values of {', '.join(given)} differ in length, or there are none")
    return lengths.pop()


def _only(rows: Rows) -> Rows:
    """Return the rows of the only design, of shape (S,)."""
    names = [field.name for field in fields(Rows) if field.name != "states"]
    return replace(rows, **{name: getattr(rows, name)[:, 0] for name in names})


def _numbers(configuration: Configuration, rows: Rows, start: Start, beyond: _Beyond) -> Numbers:
    """Return the numbers of one design or of many."""
    reference, held, lost = reached(configuration, rows, start)
    with np.errstate(all="ignore"):  # of rows that cannot be
        uneven = unevenness_of(configuration, held.axis)
        lost |= ~np.isfinite(held.slip + uneven.drive[..., -1])
        numbers = numbers_of(configuration, reference, rows, held, uneven, lost)
        if beyond.apart:
            pairs, far = clearances_at(configuration, held, rows.travel, rows.roll, known=True)
            far = np.moveaxis(far, 1, 0) if far.ndim > 2 else far[None]
            far = np.where(numbers.lost[..., None], 0.0, far)
            numbers = replace(numbers, apart=Apart(pairs=pairs, clearance=far))
        if beyond.deep:
            long = longest(reference, rows, lengths_of(held), lost)
            numbers = replace(numbers, deep=deep_numbers(numbers, rows, held, long))
    return numbers


def reached(
    configuration: Configuration, rows: Rows, start: Start = ()
) -> tuple[Reference, Postures, Marks]:
    """Return lengths and postures of one design or of many, and which rows cannot be.

    Args:
        configuration: What the designs are; its numbers are floats or arrays, (B,) or (B, 3).
        rows: Of one design, (S,), or of many, (S, B).
        start: Of states near by, where they are at hand.

    Returns:
        Lengths in the reference posture, postures, and marks in the shape of the rows.
    """
    shape = rows.travel.shape
    lost, unbuilt = np.zeros(shape, bool), np.zeros(shape[1:] or (1,), bool)
    asked = Request(
        configuration, rows.travel, rows.roll, rows.wheel_torque, lost=lost, excess=rows.excess
    )
    zero = np.zeros(unbuilt.shape)
    with np.errstate(all="ignore"):  # of rows that cannot be
        reference = reference_of(
            configuration, Request(configuration, zero, zero, zero, lost=unbuilt)
        )
        lost |= unbuilt
        held = held_at(asked, reference, rows.output_move, rows.output_tip, start)
    return reference, held, lost


def _finite(numbers: Numbers) -> Numbers:
    """Return numbers that are 0 in states that cannot be reached."""
    lost = numbers.lost
    if not lost.any():
        return numbers
    arrays = {f.name: getattr(numbers, f.name) for f in fields(numbers)}
    cleared: dict[str, Any] = {
        name: np.where(lost.reshape(*lost.shape, *[1] * (value.ndim - 2)), 0.0, value)
        for name, value in arrays.items()
        if isinstance(value, np.ndarray)
        and value.shape[:2] == lost.shape
        and name not in ("lost", "critical_speed")  # of a design, not of its states
    }
    return replace(numbers, **cleared)


def _keep(whole: dict[str, Any], part: Numbers | Deep | Apart, here: slice, count: int) -> None:
    """Keep the numbers of some designs among those of all; what all share is kept once."""
    for field in fields(part):
        value = getattr(part, field.name)
        if not isinstance(value, np.ndarray):
            continue
        shape = (count, *value.shape[1:])
        if field.name not in whole:
            shared = value.strides[0] == 0
            room = np.empty(shape[::-1], value.dtype).T  # designs last in memory
            whole[field.name] = np.broadcast_to(value[0], shape) if shared else room
        if whole[field.name].strides[0]:
            whole[field.name][here] = value
