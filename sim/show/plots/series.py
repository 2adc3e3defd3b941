"""Which states make a curve over travel, and what limits belong on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.display import Display, amount
from sim.judge.findings import Findings
from sim.judge.part import WhereKind
from sim.measure.measurements import Measurements
from sim.motion.states import State

_SIGNS = {"at most": ("≤", ">"), "at least": ("≥", "<")}  # where it is kept, and where broken
SAME = 1e-6  # share by which torques may differ and still be the same
SHORT_NAMES = {"full droop": "droop", "ride height": "ride", "full bump": "bump"}


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit to be drawn.

    Attributes:
        value: In its unit for machines.
        text: The limit, and what the finding says of it.
        rule: Identifier of the rule.
        still: Whether it is read on a standing vehicle.
        sign: How a value must stand to it, "≤" or "≥".
    """

    value: float
    text: str
    rule: str
    still: bool
    sign: str


def cases_of(states: tuple[State, ...]) -> tuple[str, ...]:
    """Return the names of the torque cases in the order in which they appear."""
    return tuple(dict.fromkeys(state.case for state in states))


def curve_states(states: tuple[State, ...], case: str) -> NDArray[np.int64]:
    """Return the states of one torque case without roll, by rising travel.

    States where the shafts cannot turn (parked low) are no part of a curve, and neither are
    two states at the same travel, nor those that pull less than the rest, being less loaded.

    Args:
        states: The states.
        case: Name of the torque case.

    Returns:
        Their numbers, shape (H,).
    """
    level = _level(states, case)
    lighter = set(lighter_states(states, case).tolist())
    by_travel: dict[float, int] = {}
    for number in level:
        if number not in lighter:
            by_travel.setdefault(states[number].travel, number)
    return np.array([by_travel[travel] for travel in sorted(by_travel)], dtype=np.int64)


def lighter_states(states: tuple[State, ...], case: str) -> NDArray[np.int64]:
    """Return the states of one torque case that pull less than the rest, by rising travel.

    They are of a vehicle that is less loaded than it travels at most.
    """
    level = _level(states, case)
    most = max((abs(states[k].wheel_torque) for k in level), default=0.0)
    found = [k for k in level if abs(states[k].wheel_torque) < (1 - SAME) * most]
    return np.array(found, dtype=np.int64)


def _level(states: tuple[State, ...], case: str) -> list[int]:
    """Return the states of one torque case that turn without roll, by rising travel."""
    level = [k for k, s in enumerate(states) if s.case == case and s.roll == 0 and s.turning]
    return sorted(level, key=lambda k: states[k].travel)


def still_states(states: tuple[State, ...], case: str) -> NDArray[np.int64]:
    """Return the states of one torque case in which the shafts cannot turn (parked low)."""
    still = [k for k, s in enumerate(states) if s.case == case and not s.turning]
    return np.array(still, dtype=np.int64)


def named_travels(states: tuple[State, ...]) -> tuple[tuple[float, str], ...]:
    """Return travel [m] and short name of every named height, rising."""
    found = {s.height: s.travel for s in states if s.height and s.roll == 0}
    return tuple(
        (travel, SHORT_NAMES.get(name, name))
        for name, travel in sorted(found.items(), key=lambda item: item[1])
    )


def limits_of(
    findings: Findings, unit: str, kind: WhereKind | None, display: Display, rule: str = ""
) -> tuple[Limit, ...]:
    """Return the limits that the rule set puts on a part, once where rules agree.

    Args:
        findings: The verdicts.
        unit: Unit of the quantity drawn, as in "deg".
        kind: What part they are on, as in "joint"; None for any.
        display: Units shown.
        rule: How the rules that are wanted begin.
    """
    limits: dict[tuple[float, str, bool], Limit] = {}
    for f in sorted(findings.findings, key=lambda f: len(f.rule)):
        here = kind is None or (f.part is not None and f.part.kind == kind)
        if f.limit is not None and here and f.unit == unit and f.rule.startswith(rule):
            what = f.what[0].lower() + f.what[1:].rstrip("?")
            sign = _SIGNS[f.relation][f.verdict in ("fails", "watch")]  # what the headline is of
            text = f"{sign} {amount(f.limit, unit, display.name)}: {what}"
            still = f.cause == "joint angle" and not f.at_speed
            kept = _SIGNS[f.relation][0]
            limit = Limit(f.limit, text, f.rule, still, kept)
            limits.setdefault((f.limit, f.relation, still), limit)
    return tuple(sorted(limits.values(), key=lambda limit: (limit.value, limit.text)))


def hardest_case(measurements: Measurements) -> str:
    """Return the torque case with the largest drive torque at the wheels."""
    return max(measurements.states, key=lambda state: state.wheel_torque).case
