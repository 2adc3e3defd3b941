"""What rules look at where the joints, twice per turn, meet what swings: bearings, bent tubes."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sim.display import Display, display_of, on_tape
from sim.judge.part import Array, Part, Where, in_states
from sim.judge.whirl_quantities import KMH, WALK
from sim.measure.numbers import Deep, Numbers
from sim.measure.shake.peaks import NEAR, UNFELT, road_speed_at
from sim.scene.parts import Reading

MM = 1e-3
ALIKE = 0.9  # of the largest force: places that get as much are named with it; ours


def bearing_swing(n: Numbers) -> list[Part]:
    """How far every bearing swings in its rubber [mm] where twice a turn meets its bounce.

    In pull-away and hard launch; unknown below walking pace and beyond the speed of the state.
    """
    if n.deep is None:
        return []
    met = (n.deep.bounce_speed >= WALK * KMH) & (n.deep.bounce_speed <= n.road_speed[..., None])
    swing = np.where(met, n.deep.bounce_swing / MM, np.nan)
    return [
        replace(
            in_states(n, Where(kind="bearing", number=number + 1), swing[..., number]),
            told=functools.partial(_bounce_told, n, n.deep, number) if len(n.lost) == 1 else None,
        )
        for number in range(swing.shape[-1])
    ]


def half_critical(n: Numbers) -> list[Part]:
    """Half of every critical speed as road speed [km/h], against a tenth beyond top speed.

    Unknown where the joints are so straight that nobody feels it.
    """
    if n.deep is None:
        return []
    half = road_speed_at(n.configuration, n.deep.beam_speed / 2) / KMH
    most = n.deep.half_critical_force[:, 0].max(axis=-1)
    half = np.where((most > 0) & (most < UNFELT), np.nan, half)
    top = np.atleast_1d(np.asarray(n.configuration.vehicle.top_speed, float)) / KMH
    return [
        Part(
            where=Where(kind="shaft", number=number + 1),
            values=half[:, number, None],
            limit=top[:, None] / (1 - NEAR),
            group="tubes",
            why=_half_told(n, number),
        )
        for number in range(half.shape[1])
    ]


def _bounce_told(n: Numbers, deep: Deep, number: int, state: int) -> str:
    """Return where a bearing of one design is met in a state and how hard its bracket is shaken."""
    display = display_of(n.configuration.display)
    reading = n.configuration.readings.get(f"bearing.{number + 1}.radial")
    speed, force, swing = (
        each[0, state, number] for each in (deep.bounce_speed, deep.bounce_force, deep.bounce_swing)
    )
    travel = n.configuration.bearings[number].free_travel
    stop = f"; its rubber stops it at {on_tape(travel, display.name)}" if swing > travel else ""
    met = f"about {_about([force], display)} at {display.speed.say(speed)}"
    return f"{met}{_with_rubber(reading, speed, display)}{stop}"


def _with_rubber(reading: Reading | None, speed: float, display: Display) -> str:
    """Return where a bearing is met over what its rubber may be, "" where that is known exactly.

    Shafts hardly bend as they bounce, so the frequency goes with the root of the stiffness.
    """
    if reading is None or not reading.spread:
        return ""
    share = min(reading.spread / reading.value, 1.0)
    low, high = (display.speed.number(speed * np.sqrt(1 + by)) for by in (-share, share))
    assumed = "" if reading.status == "measured" else "assumed "
    return f", {low} to {high} {display.speed.name} with rubber {assumed}{reading.text}"


def _half_told(n: Numbers, number: int) -> str:
    """Return the largest force of a tube that is met and where it goes, "" where none is known."""
    if len(n.lost) > 1 or n.deep is None:
        return ""
    usual, least, most = n.deep.half_critical_force[0, :, number]
    if not usual.any():
        return ""
    display = display_of(n.configuration.display)
    place = int(np.argmax(usual))
    into = " and ".join(_places(n)[p] for p in np.flatnonzero(usual >= ALIKE * usual[place]))
    each = " each" if " and " in into else ""
    band = f"{_about([least[place], most[place]], display)} as tubes damp"
    return f"about {_about([usual[place]], display)} into {into}{each}, {band}"


def _places(n: Numbers) -> list[str]:
    """Return the words for what the shafts shake, from the front."""
    count = len(n.configuration.bearings)
    brackets = (
        ["the bearing's bracket"] if count == 1 else [f"bracket {b + 1}" for b in range(count)]
    )
    return ["gearbox", *brackets, "axle"]


def _about(forces: Sequence[float] | Array, display: Display) -> str:
    """Return forces [N] in two digits that count, as in "63 to 630 N"."""
    shown = (float(f"{display.force.of(float(force)):.2g}") for force in forces)
    return f"{' to '.join(f'{number:g}' for number in shown)} {display.force.name}"
