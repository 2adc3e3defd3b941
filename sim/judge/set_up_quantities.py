"""What rules look at on the set-up itself: index marks, and readings that contradict each other."""

from __future__ import annotations

import math

import numpy as np

from sim.judge.part import Part, States, without_state
from sim.measure.contradictions import MOST_RESIDUAL, Suspect
from sim.measure.measurements import Measurements
from sim.measure.ripple import half_turn
from sim.scene.words import part_name

SIDE_WORDS = {"up": ("higher", "lower"), "down": ("lower", "higher")}


def phase(m: Measurements, chosen: States) -> list[Part]:
    """How far the yokes of a shaft are from in line, or from suiting its joints' planes [deg].

    Only shafts of which both joints bend by half a degree or more at some height; the clock angle
    of the others hardly changes anything.
    """
    return [_phase(m, index) for index in _clocked(m) if _matters(m, index)]


def index_marks(m: Measurements, chosen: States) -> list[Part]:
    """The same for a shaft with a straight joint, where only the balance depends on it [deg]."""
    return [_phase(m, index) for index in _clocked(m) if not _matters(m, index)]


def contradicting_angle(m: Measurements, chosen: States) -> list[Part]:
    """By how much an angle that is likely out contradicts the other readings [deg]."""
    return _contradicting(m, angular=True, scale=180 / math.pi)


def contradicting_length(m: Measurements, chosen: States) -> list[Part]:
    """By how much a length that is likely out contradicts the other readings [mm]."""
    return _contradicting(m, angular=False, scale=1000.0)


QUANTITIES = {
    "phase": phase,
    "index marks": index_marks,
    "contradicting angle": contradicting_angle,
    "contradicting length": contradicting_length,
}


def _clocked(m: Measurements) -> list[int]:
    """Return the indices of the shafts between two universal joints."""
    kinds = [joint.kind for joint in m.configuration.joints]
    count = len(m.configuration.shafts)
    return [i for i in range(count) if kinds[i] == kinds[i + 1] == "universal"]


def _matters(m: Measurements, index: int) -> bool:
    """Say whether both joints of a shaft bend at some height without torque."""
    rest = m.configuration.torque_cases[0].name
    states = [k for k, s in enumerate(m.states) if s.case == rest and s.turning]
    return bool(m.phase_known[states, index].any())


def _phase(m: Measurements, index: int) -> Part:
    """Return how far a shaft's yokes are off [deg]."""
    rest = m.configuration.torque_cases[0].name
    ride = [k for k, s in enumerate(m.states) if s.height == "ride height" and s.case == rest]
    off = [abs(float(half_turn(m.configuration.shafts[index].phase)))]
    off += [abs(float(m.phase_error[k, index])) for k in ride if m.phase_known[k, index]]
    return without_state(f"shaft {index + 1}", float(np.rad2deg(min(off))))


def _contradicting(m: Measurements, *, angular: bool, scale: float) -> list[Part]:
    """Return the likeliest suspect among the readings, if it is of the kind asked for."""
    check = m.cross_check
    if check is None or not check.suspects or check.suspects[0].angular != angular:
        return []
    first = check.suspects[0]
    return [
        Part(
            where=f"reading {part_name(tuple(first.path.split('.')))}",
            values=np.array([scale * abs(first.error)]),
            states=(None,),
            limit=scale * MOST_RESIDUAL * first.deviation,
            remedy=_settle(first, check.suspects[1:]),
        )
    ]


def _settle(first: Suspect, others: tuple[Suspect, ...]) -> str:
    """Say what would settle a contradiction."""
    words = _likely(first)
    if others:
        names = ", ".join(f"{other.path} ({other.text})" for other in others)
        words += f" By these numbers alone it cannot be told from {names}."
    return words


def _likely(first: Suspect) -> str:
    """Say what is likely wrong with a reading."""
    if first.path.startswith("pinion.nose_") and first.turned:
        return f"The {first.text} wedge looks fitted backwards: turn it round and read again."
    if first.turned:
        return (
            f"It is {first.text} and would fit with its sign turned: read it again, front end "
            "high is positive."
        )
    degrees = math.degrees(first.error)
    if first.path in ("output.up", "output.down"):
        more, less = SIDE_WORDS[first.path.rpartition(".")[2]]
        way = more if first.error > 0 else less
        return (
            f"The output stands {1000 * abs(first.error):.0f} mm {way} than the other readings "
            "and the drawing say: look at the mounts of engine and transmission before any shim, "
            "then read it again."
        )
    by = f"{degrees:+.1f} deg" if first.angular else f"{1000 * first.error:+.0f} mm"
    return f"It is {first.text}; without it the others agree, and by them it is {by} out."
