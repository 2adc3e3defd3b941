"""The end of the film: three numbers a customer cares about, what is gained and what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.display import Display, plain_number
from sim.measure.measurements import Measurements
from sim.motion.states import State
from sim.scene.parts import Configuration
from sim.show.worth import ANGLE, LENGTH, ROAD_SPEED, parts_words

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number at the end of the film.

    Attributes:
        name: What it is, as in "whirl limit".
        value: In SI units.
        text: As shown, with its unit.
        note: What belongs to it, in lines: the share of the critical speed, the joint, the state.
        alarming: Whether it is on the wrong side of what the scene asks for.
        better: 1 where more is better, −1 where less is.
        step: Smallest difference worth a word, in SI units.
        start: What it starts from at ride height, in SI units; two figures that start apart are
            no merit of one layout over the other, and are not compared.
        enough: In SI units; to have more is no gain, as a whirl limit beyond top speed.
    """

    name: str
    value: float
    text: str
    note: str
    alarming: bool
    better: int
    step: float
    start: float = 0.0
    enough: float = np.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """What the end of the film says of one configuration."""

    configuration: str
    shafts: int
    figures: tuple[Figure, ...]


def closing_of(measured: Measurements, display: Display) -> Closing:
    """Return the closing numbers of one configuration.

    Args:
        measured: Its measurements over the whole sweep.
        display: Units to show.
    """
    configuration = measured.configuration
    figures = (_whirl(measured, display), _worst_angle(measured, display), _gap(measured, display))
    return Closing(
        configuration=configuration.name, shafts=len(configuration.shafts), figures=figures
    )


def balance(first: Closing, second: Closing) -> tuple[str, str]:
    """Return what the second configuration gains over the first, and what it costs, in words.

    Args:
        first: The configuration that there is.
        second: The one that is looked at instead.
    """
    pairs = list(zip(first.figures, second.figures, strict=True))
    more = second.shafts - first.shafts
    gains = [_change(a, b) for a, b in pairs if _gain(a, b) > 0]
    costs = [_change(a, b) for a, b in pairs if _gain(a, b) < 0]
    gains += [f"{parts_words(-more)} less"] if more < 0 else []
    costs += [f"{parts_words(more)} more"] if more > 0 else []
    return (
        "; ".join(gains) or "nothing in these numbers",
        "; ".join(costs) or "nothing in these numbers",
    )


def _whirl(measured: Measurements, display: Display) -> Figure:
    """Return the lowest road speed at the share of a critical speed that may be used."""
    worst = min(measured.critical_speeds, key=lambda speed: speed.safe_road_speed)
    limits, vehicle = measured.configuration.limits, measured.configuration.vehicle
    low = worst.safe_road_speed < vehicle.top_speed
    return Figure(
        name="whirl limit",
        value=worst.safe_road_speed,
        text=display.speed.say(worst.safe_road_speed),
        note=f"at {limits.safe_share:.2f} of critical\n"
        f"{'below' if low else 'above'} the top speed of {display.speed.say(vehicle.top_speed)}",
        alarming=low,
        better=1,
        step=ROAD_SPEED,
        enough=vehicle.top_speed,
    )


def _worst_angle(measured: Measurements, display: Display) -> Figure:
    """Return the largest joint angle among the states in which the shafts turn."""
    turning = np.array([state.turning for state in measured.states])
    angle = np.where(turning[:, None], measured.joint_angle, -1.0)
    s = _first_of(-angle.max(axis=1), measured.states)
    j = int(np.argmax(angle[s]))
    return Figure(
        name="worst joint angle",
        value=float(angle[s, j]),
        text=f"{np.degrees(angle[s, j]):.1f}°",
        note=f"joint {j + 1}, {state_words(measured.states[s], display)}",
        alarming=bool(angle[s, j] > measured.configuration.joints[j].largest_angle),
        better=-1,
        step=ANGLE,
    )


def _gap(measured: Measurements, display: Display) -> Figure:
    """Return the least gap to bottoming, over continuous travel and over every state."""
    s = _first_of(measured.gap, measured.states)
    gap, words = float(measured.gap[s]), state_words(measured.states[s], display)
    for limit in measured.slip_limits:
        if limit.least_gap < gap - 1e-6:
            height = _height_words(limit.least_gap_travel, measured.configuration, display)
            gap, words = limit.least_gap, f"{height}, {limit.case}"
    least = measured.configuration.limits.gap
    under = f"\nunder the least gap of {display.length.say(least)}"
    return Figure(
        name="least spline gap",
        value=gap,
        text=display.length.say(gap),
        note=words + ("\nthe spline bottoms" if gap <= 0 else under if gap < least else ""),
        alarming=gap < least,
        better=1,
        step=LENGTH,
        start=measured.configuration.spline.gap,
    )


def _first_of(value: Array, states: Sequence[State]) -> int:
    """Return the state of the least value; among equals the one nearest to ride height."""
    equal = value <= value.min() + 1e-6
    away = np.array([abs(state.travel) + abs(state.roll) for state in states])
    return int(np.argmin(np.where(equal, away, np.inf)))


def state_words(state: State, display: Display) -> str:
    """Return a state in words, its travel in the units shown."""
    height = state.height or f"{display.length.say(state.travel, signed=True)} travel"
    roll = f", rolled {plain_number(np.degrees(state.roll), 1, True)}°" if state.roll else ""
    return f"{height}{roll}, {state.case}"


def _height_words(travel: float, configuration: Configuration, display: Display) -> str:
    """Return a travel by its name, or as a number."""
    limits = configuration.travel
    named = {0.0: "ride height"}
    if limits is not None:
        named |= {-limits.droop: "full droop", limits.bump: "full bump"}
    for at, name in named.items():
        if abs(travel - at) < 1e-4:
            return name
    return f"{display.length.say(travel, signed=True)} travel"


def _gain(first: Figure, second: Figure) -> int:
    """Return 1 where the second figure is better, −1 where worse, 0 where it is no matter."""
    if not np.isclose(first.start, second.start):
        return 0
    gain = (min(second.value, second.enough) - min(first.value, first.enough)) * first.better
    return int(np.sign(gain)) if abs(gain) >= first.step else 0


def _change(first: Figure, second: Figure) -> str:
    """Return one figure's change in words."""
    return f"{first.name} {first.text} → {second.text}"
