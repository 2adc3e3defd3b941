"""Changes as lines of a scene: in the unit of the reading that they replace, with its ±."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from sim import units
from sim.display import inch_fraction
from sim.measure.contradictions import what_follows
from sim.scene.parts import Configuration, Design, Reading, joint_centers
from sim.scene.quantity import QuantityError, parse
from sim.scene.values import opposite
from sim.units import Kind

PLACED = ("aft", "forward", "right", "left", "up", "down")
ANGLES = ("nose_up", "nose_down", "phase", "skew", "slope", "slope_on_wedge")
KINDS = dict.fromkeys(ANGLES, units.ANGLE) | {
    "off_by": units.CLOCK,
    "top_speed": units.ROAD_SPEED,
    "wrap_control": units.WIND_UP,
    "radial": units.SPRING_RATE,
    "unbalance": units.UNBALANCE,
    "mass": units.MASS,
}
CHECKS = ("slope", "slope_on_wedge", "length", "mass")  # computed, so not in steps of a shop
ON_A_DIAL = ("wall", "runout", "unbalance")  # read finer than a tape is
SIGNED = ("slope", "slope_on_wedge", "phase", "off_by")
TO_LEVEL, TAILS = " to level", ("to level",)


def lines(design: Design, values: Mapping[str, float]) -> tuple[str, ...]:
    """Return the lines of a scene that change values, each with the ± it was read with.

    Readings that say again what the changed places give are computed anew, by as much as these
    move: else they would contradict.

    Args:
        design: Its readings say in which units the lines are written.
        values: By path, the new value [SI unit, radians], written in the word that the scene uses
            ("down"); in the opposite word ("up") where it would be negative.

    Returns:
        As in 'bearing.1.up = "534 ± 3 mm"'.
    """
    said = tuple(_line(design, path, value) for path, value in values.items())
    again = _read_again(design, carried_out(design, said))
    return said + tuple(_line(design, path, value) for path, value in again.items())


def on_paper(configuration: Configuration, said: Sequence[str]) -> tuple[str, ...]:
    """Return lines with ``planned = true`` for every bearing that they hang anew.

    Args:
        configuration: Before them.
        said: From ``lines``.
    """
    steps = [line.partition(" = ")[0].split(".") for line in said]
    hung = dict.fromkeys(at[1] for at in steps if at[0] == "bearing" and at[-1] in PLACED)
    more = (
        f"bearing.{number}.planned = true"
        for number in hung
        if not configuration.bearings[int(number) - 1].planned
    )
    return (*said, *more)


def replaced(design: Design, said: Sequence[str]) -> list[str]:
    """Return which words of a scene lines are written in place of.

    Args:
        design: As it was read.
        said: From ``lines``.

    Returns:
        As in "pinion.nose_up in place of pinion.nose_down".
    """
    paths = [line.partition(" = ")[0] for line in said]
    return [
        f"{path} in place of {opposite(path)}"
        for path in paths
        if _reads(design, opposite(path)) and not _reads(design, path)
    ]


def _reads(design: Design, path: str) -> bool:
    """Say whether a scene writes a path itself."""
    return path in design.readings and design.readings[path].status == "measured"


def carried_out(design: Design, said: Sequence[str]) -> Design:
    """Return a design with lines written into its scene.

    Args:
        design: As it was read.
        said: From ``lines``.

    Returns:
        The design that reading the changed scene gives.
    """
    readings = {}
    for one in said:
        path, _, text = one.partition(" = ")
        text = text.strip('"')
        read = parse(_kind(path), text, TAILS)
        readings[path] = Reading(
            path=path, value=read.value, spread=read.spread, text=text, status="measured", line=0
        )
    varied = design.vary({path: reading.value for path, reading in readings.items()})
    return replace(varied, readings={**varied.readings, **readings})


def _read_again(before: Design, after: Design) -> dict[str, float]:
    """Return the new values of readings that check others, where what they check has moved."""
    was, now = _checked(before), _checked(after)
    return {
        path: float(after.values[path]) + now[path] - was[path]
        for path in was
        if abs(now[path] - was[path]) > 1e-9
    }


def _checked(design: Design) -> dict[str, float]:
    """Return what the readings that check others should be: slopes, lengths [rad or m]."""
    built = design.build()
    centers = joint_centers(built.output.point, built.bearings, built.pinion.point)
    lengths = {
        f"shaft.{number}.length": float(np.linalg.norm(behind - ahead))
        for number, (ahead, behind) in enumerate(pairwise(centers), start=1)
    }
    read = {path: far for path, far in lengths.items() if path in design.readings}
    return {**read, **what_follows(built)}


def _kind(path: str) -> Kind:
    return KINDS.get(path.rpartition(".")[2], units.LENGTH)


def _line(design: Design, path: str, value: float) -> str:
    """Return one line."""
    reading = design.readings.get(path) or design.readings.get(opposite(path))
    kind, key = _kind(path), path.rpartition(".")[2]
    unit = unit_of(design, kind, path)
    if _reads(design, opposite(path)) and not _reads(design, path):
        path, value = opposite(path), 0.0 - value
    if value < 0 and key not in SIGNED:
        path, value = opposite(path), -value
    text = amount(kind, value, unit, fine=key in (*CHECKS, *ON_A_DIAL))
    if reading is None:
        return f'{path} = "{text}"'
    if reading.spread and reading.status == "measured":
        said = units.spell(unit)
        spread = reading.spread / units.factor(kind, unit)
        even = unit == "in" and abs(spread * 32 - round(spread * 32)) < 1e-6
        text = f"{text.removesuffix(said)}± {_tape(spread) if even else f'{spread:.4g}'} {said}"
    return f'{path} = "{text}{TO_LEVEL if reading.text.endswith(TO_LEVEL) else ""}"'


def unit_of(design: Design, kind: Kind, path: str) -> str:
    """Return the unit in which a value is written: that of its reading, else that of the places.

    Args:
        design: Its readings.
        kind: Kind of quantity.
        path: Path of the value [text].

    Returns:
        "mm" or "in" for a length, and so on [text].
    """
    own = design.readings.get(path) or design.readings.get(opposite(path))
    unit = _unit(kind, own)
    if unit in kind.apart:
        return units.COUNTED.get(unit, unit)
    if not unit:
        place = design.readings.get("pinion.aft") or design.readings.get("pinion.forward")
        unit = _unit(units.LENGTH, place)
    inch = unit in ("in", "inch", "ft", "mph") or unit.startswith(("lb", "ft"))
    return kind.inch if inch else kind.metric


def _unit(kind: Kind, reading: Reading | None) -> str:
    """Return the unit that stands in a reading, or ""."""
    if reading is None or reading.status != "measured":
        return ""
    try:
        return parse(kind, reading.text, TAILS).unit
    except QuantityError:
        return ""  # made by hand


def amount(kind: Kind, value: float, unit: str, *, fine: bool = False) -> str:
    """Return a value as a tape, an angle finder or a speedometer gives it.

    Args:
        kind: Kind of quantity.
        value: The value [SI unit of the kind].
        unit: Unit to say it in [text].
        fine: Whether it is computed: then one digit more, and no tape fraction.

    Returns:
        As in "534 mm", "14-3/32 in", "1.5 deg".
    """
    number = value / units.factor(kind, unit)
    if unit == "in" and not fine:
        return f"{_tape(number)} in"
    digits = {"in": 3, "deg": 2, "oz in": 2, "g mm": 0}.get(unit, 1) if fine else 1
    return f"{number:.{digits}f}".removesuffix(".0") + f" {units.spell(unit)}"


def _tape(inches: float) -> str:
    """Return inches in whole ones and 32nds, as in "14-3/32", as a scene writes them."""
    return inch_fraction(round(inches * 32)).replace("−", "-")
