"""What rules look at on the set-up itself: phase, bracket, and readings that contradict."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sim.display import DEGREES, Display, display_of
from sim.judge.part import Array, Part, Where, without_state
from sim.measure.contradictions import MOST_RESIDUAL, Suspect, check_readings
from sim.measure.numbers import Numbers
from sim.measure.ripple import half_turn
from sim.scene.words import part_name

SIDE_WORDS = {"up": ("higher", "lower"), "down": ("lower", "higher")}
STRAIGHT = math.radians(0.5)  # under this angle the plane of a joint means nothing
SUITS = math.radians(3.0)  # a phase so near to what would suit the joints' planes is good
BARELY = 1.001  # a pinion that would shake no less than this many times as much is no better


def phase(n: Numbers) -> list[Part]:
    """How far the yokes of a shaft are out of phase [deg].

    That is from in line, or from the phase that their maker gave them; but yokes that suit their
    joints' planes, or with which the pinion turns no less evenly than with yokes in line, are in
    phase.  Only shafts of which both joints bend by half a degree or more at some height; the clock
    angle of the others hardly changes anything.
    """
    found = ((index, _matters(n, index)) for index in _clocked(n))
    return [_phase(n, index, matters) for index, matters in found if matters.any()]


def index_marks(n: Numbers) -> list[Part]:
    """How far from in line the yokes of a shaft with a straight joint are [deg].

    Only the balance depends on it.
    """
    found = ((index, _matters(n, index)) for index in _clocked(n))
    return [
        without_state(
            Where(kind="shaft", number=index + 1),
            np.rad2deg(np.where(matters, 0.0, _off(n, index))),
        )
        for index, matters in found
        if not matters.all()
    ]


def bracket_skew(n: Numbers) -> list[Part]:
    """How far a bearing's bracket is out of square [deg]."""
    return [
        without_state(Where(kind="bearing", number=number), np.rad2deg(np.abs(bearing.skew)))
        for number, bearing in enumerate(n.configuration.bearings, start=1)
    ]


def contradicting_angle(n: Numbers) -> list[Part]:
    """By how much an angle that is likely out contradicts the other readings [deg]."""
    return _contradicting(n, angular=True, scale=180 / math.pi)


def contradicting_length(n: Numbers) -> list[Part]:
    """By how much a length that is likely out contradicts the other readings [mm]."""
    return _contradicting(n, angular=False, scale=1000.0)


def _clocked(n: Numbers) -> list[int]:
    """Return the indices of the shafts between two universal joints."""
    crosses = [joint.of_kind.crosses for joint in n.configuration.joints]
    count = len(n.configuration.shafts)
    return [i for i in range(count) if crosses[i] == crosses[i + 1] == 1]


def _matters(n: Numbers, index: int) -> NDArray[np.bool_]:
    """Say in which designs both joints of a shaft bend without torque somewhere, (B,)."""
    still = [k for k, s in enumerate(n.states) if not s.wheel_torque and s.turning]
    bent = n.joint_angle[:, still, index : index + 2] >= STRAIGHT
    return np.asarray(bent.all(axis=-1).any(axis=-1))


def _off(n: Numbers, index: int) -> Array:
    """Return how far the yokes of a shaft are from their factory phase [rad], (B,) or (1,)."""
    shaft = n.configuration.shafts[index]
    return np.abs(half_turn(np.atleast_1d(shaft.phase - shaft.factory_phase)))


def _phase(n: Numbers, index: int, matters: NDArray[np.bool_]) -> Part:
    """Return how far a shaft's yokes are out of phase [deg]; 0 where that does not matter."""
    off = _off(n, index)
    for k in [k for k, s in enumerate(n.states) if s.situation == "ride height"][:1]:
        wrong = np.abs(
            half_turn(n.configuration.shafts[index].phase - n.matched_phase[:, k, index])
        )
        bent = (n.joint_angle[:, k, index : index + 2] >= STRAIGHT).all(axis=-1)
        suits = bent & (wrong <= SUITS)
        no_better = n.in_line[:, k, index] >= BARELY * n.fluctuation[:, k, -1]
        off = np.where(suits, np.minimum(off, wrong), off)
        off = np.where(bent & no_better & ~suits, 0.0, off)
    off = np.where(matters, off, 0.0)
    return without_state(Where(kind="shaft", number=index + 1), np.rad2deg(off))


def _contradicting(n: Numbers, *, angular: bool, scale: float) -> list[Part]:
    """Return the likeliest suspect among the readings, if it is of the kind asked for."""
    check = check_readings(n.configuration)
    if check is None or not check.suspects or check.suspects[0].angular != angular:
        return []
    first = check.suspects[0]
    return [
        Part(
            where=Where(kind="reading", name=part_name(tuple(first.path.split(".")))),
            values=np.array([[scale * abs(first.error)]]),
            limit=scale * MOST_RESIDUAL * first.deviation,
            remedy=_settle(first, check.suspects[1:], display_of(n.configuration.display)),
        )
    ]


def _settle(first: Suspect, others: tuple[Suspect, ...], display: Display) -> str:
    """Say what would settle a contradiction."""
    words = _likely(first, display)
    if others:
        names = ", ".join(f"{other.path} ({other.text})" for other in others)
        words += f" By these numbers alone it cannot be told from {names}."
    return words


def _likely(first: Suspect, display: Display) -> str:
    """Say what is likely wrong with a reading."""
    if first.path.startswith("pinion.nose_") and first.turned:
        return f"The {first.text} wedge looks fitted backwards: turn it round and read again."
    if first.turned:
        return (
            f"It is {first.text} and would fit with its sign turned: read it again, front end "
            "high is positive."
        )
    unit, digits = (DEGREES, 1) if first.angular else (display.length, display.coarse)
    if first.path in ("output.up", "output.down"):
        more, less = SIDE_WORDS[first.path.rpartition(".")[2]]
        way = more if first.error > 0 else less
        off = unit.say(abs(first.error), digits=digits)
        return (
            f"The output stands {off} {way} than the other readings "
            "and the drawing say: look at the mounts of engine and transmission before any shim, "
            "then read it again."
        )
    by = unit.say(first.error, signed=True, digits=digits)
    return f"It is {first.text}; without it the others agree, and by them it is {by} out."
