"""The spline: its setting on the bench; where in the travel it comes nearest to its ends.

All torque cases are asked for at once: one even look over the whole travel, then a close look
around each extreme and each crossing.  Two vectorised calls stand in for hundreds of single ones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.arrays import Array, Marks
from sim.measure.clearance.course import Course, course_of, postures_on
from sim.measure.measurements import AsBuilt, SlipLimit
from sim.motion.motion import Reference, Start
from sim.motion.states import State
from sim.scene.parts import Configuration, Spline

SlipAt = Callable[[Array], Array]  # travel (C, P) of C torque cases [m] -> slip (C, P) [m]
Look = Callable[[Array, Array], tuple[Array, NDArray[Any]]]  # at samples of travel and slip

COARSE = 49  # samples of the whole travel: 4 mm apart on a truck
FINE = 41  # samples of a close look: 0.2 mm apart, then a parabola or a straight line


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A torque case and the travel it runs through [m]."""

    name: str
    lowest: float
    highest: float


def gap_to_bottom(spline: Spline, slip: ArrayLike) -> Array:
    """Return what is left before the spline bottoms at a slip, drawing apart positive [m]."""
    return np.asarray(spline.gap + np.asarray(slip, float))


def engaged_length(spline: Spline, slip: ArrayLike) -> Array:
    """Return the length in mesh at a slip [m], never more than the shorter of the two splines."""
    drawn = spline.engaged - np.asarray(slip, float)
    return np.asarray(drawn if spline.shorter is None else np.minimum(drawn, spline.shorter))


def as_built(length: ArrayLike, spline: Spline, slip: float) -> tuple[AsBuilt, ...]:
    """Return joint-center lengths in the reference posture and the spline's setting there.

    The spline of a midship stub is part of the shaft that the last bearing carries; one on the
    output stays on the vehicle, so no shaft has a bench setting for it.

    Of lengths and slip in the reference posture [m]; the slip is 0 unless the shafts were cut for
    another configuration.
    """
    lengths = np.asarray(length, float).tolist()
    owner = {"output": 0, "midship": len(lengths) - 1, "shaft": len(lengths)}[spline.at]
    return tuple(
        AsBuilt(
            shaft=number,
            length=long,
            bench_gap=float(gap_to_bottom(spline, slip)) if number == owner else None,
            bench_engaged=float(engaged_length(spline, slip)) if number == owner else None,
        )
        for number, long in enumerate(lengths, start=1)
    )


def measure_slip_limits(
    configuration: Configuration,
    states: Sequence[State],
    reference: Reference | None = None,
    start: Start = (),
) -> tuple[SlipLimit, ...]:
    """Return the limits of the spline in every torque case, over continuous travel without roll."""
    cases, spline = travelled(states), configuration.spline
    if not cases:
        return ()
    slip_at = _slip_of(configuration, course_of(states, start), cases, reference)
    low = np.array([case.lowest for case in cases])
    high = np.array([case.highest for case in cases])
    travel = np.linspace(low, high, COARSE, axis=-1)
    slip = slip_at(travel)
    looks: tuple[Look, ...] = (
        lambda x, y: extreme(x, y, -1.0),
        lambda x, y: extreme(x, y, 1.0),
        lambda x, y: crossing(x, y, -spline.gap),
        lambda x, y: crossing(x, y, spline.engaged),
    )
    close = np.stack([_around(look(travel, slip)[0], low, high) for look in looks], axis=1)
    there = slip_at(close.reshape(len(cases), -1)).reshape(close.shape)
    least, most, bottoms, parts = (look(close[:, i], there[:, i]) for i, look in enumerate(looks))
    return tuple(
        SlipLimit(
            case=case.name,
            least_gap=float(gap_to_bottom(spline, least[1][i])),
            least_gap_travel=float(least[0][i]),
            least_engaged=float(engaged_length(spline, most[1][i])),
            least_engaged_travel=float(most[0][i]),
            largest_slip=float(max(least[1][i], most[1][i], key=abs)),
            largest_slip_travel=float((least if -least[1][i] > most[1][i] else most)[0][i]),
            bottoms_at=float(bottoms[0][i]) if bottoms[1][i] else None,
            pulls_out_at=float(parts[0][i]) if parts[1][i] else None,
        )
        for i, case in enumerate(cases)
    )


def travelled(states: Iterable[State]) -> tuple[Case, ...]:
    """Return the torque cases that run through some travel without roll, with its ends."""
    found: dict[str, Case] = {}
    for state in states:
        if state.roll:
            continue
        known = found.get(state.case)
        found[state.case] = Case(
            name=state.case,
            lowest=min(state.travel, known.lowest if known else state.travel),
            highest=max(state.travel, known.highest if known else state.travel),
        )
    return tuple(case for case in found.values() if case.highest > case.lowest)


def extreme(travel: ArrayLike, slip: ArrayLike, sign: float) -> tuple[Array, Array]:
    """Return the travel and the extreme slip [m], (C,), of even samples (C, P), by a parabola.

    The largest with sign 1, the smallest with −1; an end of the travel if slip is extreme there.
    """
    x, y = np.asarray(travel, float), sign * np.asarray(slip, float)
    rows, best = np.arange(len(x)), np.argmax(y, axis=-1)
    inside = np.clip(best, 1, x.shape[-1] - 2)
    before, at, after = (y[rows, inside + shift] for shift in (-1, 0, 1))
    bend, tilt = before - 2 * at + after, (after - before) / 2
    peaked = (best == inside) & (bend < 0)
    shift = np.divide(-tilt, bend, out=np.zeros_like(at), where=peaked)
    return (
        x[rows, best] + shift * (x[:, 1] - x[:, 0]),
        sign * (y[rows, best] + 0.5 * tilt * shift),
    )


def crossing(travel: ArrayLike, slip: ArrayLike, level: float) -> tuple[Array, Marks]:
    """Return the travel nearest to ride height at which sampled slip crosses a level [m].

    Samples rise, (C, P), and a straight line joins them; and whether slip comes to the level at
    all, (C,).
    """
    x, y = np.asarray(travel, float), np.asarray(slip, float) - level
    rows = np.arange(len(x))
    change = np.signbit(y[:, 1:]) != np.signbit(y[:, :-1])
    at = np.argmin(np.where(change, np.abs(x[:, 1:] + x[:, :-1]), np.inf), axis=-1)
    crosses = change[rows, at]
    x0, y0 = x[rows, at], y[rows, at]
    share = np.divide(y0, y0 - y[rows, at + 1], out=np.zeros_like(y0), where=crosses)
    return x0 + share * (x[rows, at + 1] - x0), crosses


def _around(center: Array, low: Array, high: Array) -> Array:
    """Return a close look at some travel, one coarse step to each side of it, shape (C, FINE)."""
    step = (high - low) / (COARSE - 1)
    center = np.clip(center, low + step, high - step)
    return np.linspace(center - step, center + step, FINE, axis=-1)


def _slip_of(
    configuration: Configuration, course: Course, cases: Sequence[Case], reference: Reference | None
) -> SlipAt:
    """Return the slip of all cases as a function of travel."""
    number = np.array([course.cases.index(case.name) for case in cases])

    def slip_at(travel: Array) -> Array:
        case, level = np.repeat(number, travel.shape[-1]), np.zeros(travel.size)
        held = postures_on(configuration, course, case, travel.ravel(), level, reference)
        return held.slip.reshape(travel.shape)

    return slip_at
