"""What is not known of a truck as built: its own readings, and what the shop set."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from sim.arrays import Array
from sim.explore.built_model import FRAME, SIDES
from sim.explore.cures_changes import LARGEST_WEDGE, REACH, signed
from sim.explore.cures_lines import TAILS
from sim.explore.evaluate import CUT
from sim.explore.sampling import BAND
from sim.explore.sources import sources_of
from sim.measure.contradictions import UNSAID_ANGLE, UNSAID_LENGTH
from sim.scene.parts import Configuration, Design, Reading
from sim.scene.quantity import QuantityError, parse
from sim.scene.readback import RIDE, Posture
from sim.scene.values import opposite
from sim.units import ANGLE, LENGTH, Kind

CUT_OFF = 0.030  # [m], how far off a shaft may be cut; ours
KNOWN = 1 / 3  # share of how far off it may be, within which the readings must place what was set

ENDS, GUIDES = ("output.", "pinion."), ("suspension.", "axle.")

Origin = Literal["scene", "set", "travel", "frame"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """One thing that is not known exactly."""

    key: str  # its path among the values of the design; led by "frame at " for how the frame stood
    value: float  # as planned or read [SI unit]
    spread: float  # half width of its 95 % band [same]
    kind: Origin  # reading of the scene, what the shop set, travel of a height, slope of the frame

    @property
    def sigma(self) -> float:
        """Standard deviation [SI unit]."""
        return self.spread / BAND


def unknowns_of(
    plan: Configuration, design: Design, postures: Sequence[Posture]
) -> tuple[Unknown, ...]:
    """Return what is not known before anything was read on the truck.

    Readings of the scene keep their ±; output and pinion have that of the usual tool where none is
    written.  What the shop set may be far from the plan.  Where the axle was read away from ride
    height, what guides it was read with a tape: its points and lengths are not exact either.

    Args:
        plan: As it was read.
        design: The truck that carries its shafts, from ``hung_to``.
        postures: From a readings file.
    """
    chosen = {one.key: one for one in _set_by_shop(design)}
    found = dict(_of_scene(plan, design, chosen))
    away = any(posture.height != RIDE for posture in postures)
    for path, one in _bare(design):
        if away or path.startswith(ENDS):
            found.setdefault(path, one)
    for posture in postures:
        if posture.travel is not None:
            key = f"height.{posture.height}.{posture.travel.path}"
            found[key] = _read(key, posture.travel, "travel")
        if posture.frame is not None:
            key = FRAME + posture.height
            found[key] = _read(key, posture.frame, "frame")
    return (*found.values(), *chosen.values())


def as_planned(unknown: Unknown, plan: Configuration) -> Unknown:
    """Return what the shop set, taken as planned within the ± that the scene gives it.

    Args:
        unknown: What was set.
        plan: As it was read.
    """
    read = plan.readings.get(unknown.key) or plan.readings.get(opposite(unknown.key))
    return replace(unknown, spread=read.spread if read else 0.0)


def determined(unknowns: Sequence[Unknown], slopes: Array, sigma: Array) -> Array:
    """Return how well readings place every unknown, as a share of how far off it may be.

    Args:
        unknowns: N of them.
        slopes: Change of every reading with each of them [SI units], shape (R, N).
        sigma: Standard deviation of every reading, shape (R,).

    Returns:
        Standard deviation after over before [-], shape (N,).
    """
    scaled = slopes * np.array([one.sigma for one in unknowns]) / sigma[:, None]
    return np.asarray(np.sqrt(np.diag(np.linalg.inv(scaled.T @ scaled + np.eye(len(unknowns))))))


def _read(key: str, reading: Reading, kind: Origin) -> Unknown:
    return Unknown(key=key, value=reading.value, spread=reading.spread, kind=kind)


def _of_scene(
    plan: Configuration, design: Design, chosen: Mapping[str, Unknown]
) -> Iterator[tuple[str, Unknown]]:
    """Yield the readings of the scene that have a ±, or usually would."""
    for source in sources_of(plan):
        set_here = source.key in chosen or opposite(source.key) in chosen
        known = source.key in design.values or source.key.startswith(CUT)
        if known and not (source.share or set_here):
            yield (
                source.key,
                Unknown(key=source.key, value=source.value, spread=source.spread, kind="scene"),
            )


def _set_by_shop(design: Design) -> Iterator[Unknown]:
    """Yield what the shop set: where bearings hang, the wedge, what is left of the spline."""
    ways = [
        (f"bearing.{number}.{key}", REACH)
        for number in range(1, len(design.structure.tubes))
        for key in ("aft", "right", "up")
    ]
    ways += [("pinion.nose_up", LARGEST_WEDGE), ("spline.gap", CUT_OFF)]
    for path, far in ways:
        written = path if path in design.values else opposite(path)
        there = written in design.values
        if there or path.startswith("bearing."):
            key = written if there else path
            value = float(design.values[key]) if there else signed(design, path)
            yield Unknown(key=key, value=value, spread=far, kind="set")


def _bare(design: Design) -> Iterator[tuple[str, Unknown]]:
    """Yield what both ends and what guides the axle were read to, where no ± is written."""
    for path, reading in design.readings.items():
        place = path.startswith(ENDS) and path.endswith((*SIDES, "slope"))
        if reading.spread or not (place or path.startswith(GUIDES)):
            continue
        kind = kind_of(reading)
        if reading.status == "measured" and kind:
            usual = UNSAID_LENGTH if kind is LENGTH else UNSAID_ANGLE
            yield path, Unknown(key=path, value=reading.value, spread=usual, kind="scene")


def kind_of(reading: Reading) -> Kind | None:
    """Return whether a reading is a length or an angle, by its text; None for any other.

    Args:
        reading: As it was read.
    """
    for kind in (LENGTH, ANGLE):
        try:
            parse(kind, reading.text, TAILS)
        except QuantityError:
            continue
        return kind
    return None


def moved(unknowns: Sequence[Unknown], x: Array, tied: frozenset[str]) -> dict[str, Array]:
    """Return values of trucks whose unknowns are off.

    Args:
        unknowns: N of them.
        x: How far each is off [standard deviations], shape (N, B).
        tied: Paths that the truck and the plan whose shafts it carries have in common.

    Returns:
        Values by path, as a model takes them, each (B,).
    """
    values = {
        one.key: one.value + one.sigma * column for one, column in zip(unknowns, x, strict=True)
    }
    return values | {CUT + key: values[key] for key in values if key in tied}
