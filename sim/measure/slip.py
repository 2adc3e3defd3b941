"""The spline over continuous travel: where it comes closest to bottoming and to pulling out.

Every round asks for all postures of all torque cases at once and narrows the brackets tenfold, so
that a handful of vectorised calls stands in for hundreds of single ones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.measure.measurements import SlipLimit
from sim.motion.postures import postures
from sim.motion.states import State
from sim.scene.parts import Configuration, Spline

Array = NDArray[np.float64]
SlipAt = Callable[[Array], Array]  # travel (C, P) of C torque cases [m] -> slip (C, P) [m]

COARSE = 49  # samples over the whole travel: finds every extreme that a suspension can make
FINE = 21  # samples of a narrowed bracket
ROUNDS = 3  # 200 mm of travel is narrowed to 0.01 mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A torque case and the travel it runs through [m]."""

    name: str
    wheel_torque: float
    lowest: float
    highest: float


def gap_to_bottom(spline: Spline, slip: ArrayLike) -> Array:
    """Return what is left before the spline bottoms.

    Args:
        spline: Gives the gap at ride height.
        slip: Slip, drawing apart positive [m], any shape.

    Returns:
        Gap [m], same shape.
    """
    return np.asarray(spline.gap + np.asarray(slip, float))


def engaged_length(spline: Spline, slip: ArrayLike) -> Array:
    """Return the length in mesh, never more than the shorter of the two splines.

    Args:
        spline: Gives the engaged length at ride height.
        slip: Slip, drawing apart positive [m], any shape.

    Returns:
        Engaged length [m], same shape.
    """
    drawn = spline.engaged - np.asarray(slip, float)
    return np.asarray(drawn if spline.shorter is None else np.minimum(drawn, spline.shorter))


def measure_slip_limits(
    configuration: Configuration, states: Iterable[State]
) -> tuple[SlipLimit, ...]:
    """Return the limits of the spline in every torque case, over continuous travel without roll.

    Args:
        configuration: Whose spline and suspension.
        states: They say which torque cases run and between which heights.

    Returns:
        One limit per torque case, in order; empty where no case has any travel.
    """
    cases = travelled(states)
    if not cases:
        return ()
    slip_at = _slip_of(configuration, cases)
    low = np.array([case.lowest for case in cases])
    high = np.array([case.highest for case in cases])
    least = extreme(slip_at, low, high, sign=-1.0)
    most = extreme(slip_at, low, high, sign=1.0)
    spline = configuration.spline
    bottoms = crossing(slip_at, low, high, level=-spline.gap)
    pulls_out = crossing(slip_at, low, high, level=spline.engaged)
    return tuple(
        _limit(
            case.name,
            spline,
            (least[0][i], least[1][i]),
            (most[0][i], most[1][i]),
            bottoms[i],
            pulls_out[i],
        )
        for i, case in enumerate(cases)
    )


def travelled(states: Iterable[State]) -> tuple[Case, ...]:
    """Return the torque cases that run through some travel, with its ends.

    Args:
        states: All states looked at; rolled ones do not count.

    Returns:
        The cases in the order in which they first appear.
    """
    found: dict[str, Case] = {}
    for state in states:
        if state.roll:
            continue
        known = found.get(state.case)
        found[state.case] = Case(
            name=state.case,
            wheel_torque=state.wheel_torque,
            lowest=min(state.travel, known.lowest if known else state.travel),
            highest=max(state.travel, known.highest if known else state.travel),
        )
    return tuple(case for case in found.values() if case.highest > case.lowest)


def extreme(slip_at: SlipAt, low: Array, high: Array, sign: float) -> tuple[Array, Array]:
    """Return the travel where the slip is largest (sign 1) or smallest (−1), and the slip there.

    Args:
        slip_at: Slip [m] at travels [m], both of shape (C, P).
        low: Lowest travel of every case [m], shape (C,).
        high: Highest travel [m], shape (C,).
        sign: 1 or −1.

    Returns:
        Travel [m] and slip [m], both of shape (C,).
    """
    rows = np.arange(low.size)
    travel = np.linspace(low, high, COARSE, axis=-1)
    for _ in range(ROUNDS):
        best = np.argmax(sign * slip_at(travel), axis=-1)
        before = travel[rows, np.maximum(best - 1, 0)]
        after = travel[rows, np.minimum(best + 1, travel.shape[-1] - 1)]
        travel = np.linspace(before, after, FINE, axis=-1)
    slip = slip_at(travel)
    best = np.argmax(sign * slip, axis=-1)
    return travel[rows, best], slip[rows, best]


def crossing(slip_at: SlipAt, low: Array, high: Array, level: float) -> list[float | None]:
    """Return the travel nearest to ride height where the slip crosses a level.

    Args:
        slip_at: Slip [m] at travels [m], both of shape (C, P).
        low: Lowest travel of every case [m], shape (C,).
        high: Highest travel [m], shape (C,).
        level: The slip looked for [m].

    Returns:
        For every case the travel [m], or None where the slip never comes to the level.
    """
    rows = np.arange(low.size)
    travel = np.linspace(low, high, COARSE, axis=-1)
    beyond = slip_at(travel) - level
    change = np.signbit(beyond[:, 1:]) != np.signbit(beyond[:, :-1])
    crosses = change.any(axis=-1)
    if not crosses.any():
        return [None] * low.size
    middle = np.abs(travel[:, 1:] + travel[:, :-1])
    at = np.argmin(np.where(change, middle, np.inf), axis=-1)
    for _ in range(ROUNDS):
        travel = np.linspace(travel[rows, at], travel[rows, at + 1], FINE, axis=-1)
        beyond = slip_at(travel) - level
        change = np.signbit(beyond[:, 1:]) != np.signbit(beyond[:, :-1])
        at = np.argmax(change, axis=-1)
    y0, y1 = beyond[rows, at], beyond[rows, at + 1]
    share = np.divide(y0, y0 - y1, out=np.full_like(y0, 0.5), where=y0 != y1)
    root = travel[rows, at] + share * (travel[rows, at + 1] - travel[rows, at])
    return [float(r) if yes else None for r, yes in zip(root, crosses, strict=True)]


def _slip_of(configuration: Configuration, cases: tuple[Case, ...]) -> SlipAt:
    """Return the slip of all cases as a function of travel."""
    given = {case.name: case for case in configuration.torque_cases}
    torque = np.array([[case.wheel_torque] for case in cases])
    move = np.array([given[case.name].output_move for case in cases])
    tip = np.array([[given[case.name].output_tip] for case in cases])

    def slip_at(travel: Array) -> Array:
        count = travel.shape[-1]
        held = postures(
            configuration,
            travel.ravel(),
            np.zeros(travel.size),
            np.broadcast_to(torque, travel.shape).ravel(),
            np.repeat(move, count, axis=0),
            np.broadcast_to(tip, travel.shape).ravel(),
        )
        return np.asarray(held.slip).reshape(travel.shape)

    return slip_at


def _limit(
    name: str,
    spline: Spline,
    least: tuple[float, float],
    most: tuple[float, float],
    bottoms_at: float | None,
    pulls_out_at: float | None,
) -> SlipLimit:
    """Return the limits of one case from its least and its largest slip, each (travel, slip)."""
    largest = max(least, most, key=lambda pair: abs(pair[1]))
    return SlipLimit(
        case=name,
        least_gap=float(gap_to_bottom(spline, least[1])),
        least_gap_travel=float(least[0]),
        least_engaged=float(engaged_length(spline, most[1])),
        least_engaged_travel=float(most[0]),
        largest_slip=float(largest[1]),
        largest_slip_travel=float(largest[0]),
        bottoms_at=bottoms_at,
        pulls_out_at=pulls_out_at,
    )
