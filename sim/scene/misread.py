"""Readings that were likely misread: unlike comparable vehicles, or bending what is never bent so.

What is usual stands with each key; it is common practice, no source, and raises doubts only.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations, pairwise

import numpy as np

from sim.scene.allowed import In
from sim.scene.as_read import quantities
from sim.scene.checks import FARTHEST_AXLE
from sim.scene.design import Configuration
from sim.scene.quantity import NUMBER, Quantity, QuantityError, parse
from sim.scene.tables.bearing import joint_centers
from sim.scene.tables.ends import axis_at
from sim.scene.tables.setup import Setup
from sim.scene.text import Found, Path
from sim.scene.words import part_name

BENT = 15.0  # [deg], more than joints bend at ride height; common practice, no source
FITS = 8.0  # [deg], what a line with one reading corrected may still bend; common practice
STRAIGHT = 6.0  # [deg], what ends with a turned sign may still bend; common practice
GAIN = 3.0  # [deg], by which a correction must straighten the joints together
RARER = 3.0  # [deg], by which anything but a lost sign must fit better than that
SHORTEST = 0.1  # [m], fore and aft, of a shaft that can be
PINION_OFF_AXLE = 0.15  # [m], a proposed pinion joint above or below its axle, at most
AS_GOOD = 1.0  # [deg], by which a correction that fits as well as the best may fit worse
_READ = re.compile(NUMBER)
_PART = re.compile(r"[\d.]+")
_MIXED_UP = {"mm": ("in",), "in": ("mm", "cm"), "cm": ("in", "mm")}
_LINE = ("output", "pinion", "bearing", "frame")


def unusual(setup: Setup) -> Found:
    """Yield readings out of what comparable vehicles have, with what may have been meant."""
    for path, quantity, limits, written in quantities(setup):
        if written and not limits.is_usual(quantity):
            meant = (text for text, read in slips(quantity, limits) if limits.is_usual(read))
            hint = f"; is it {fit}?" if (fit := next(meant, "")) else ""
            yield path, f" is {quantity.text}; usual is {limits.usual_in(quantity.unit)}{hint}"


def slips(quantity: Quantity, limits: In) -> Iterator[tuple[str, Quantity]]:
    """Yield what may have been meant by a reading: point, digits, unit or sign slipped."""
    found = _READ.match(quantity.text)
    if not found:
        return
    number, rest = found[0], quantity.text[found.end() :]
    turned = number[1:] if number[0] in "+-" else f"-{number}"
    shifted = (f"{Decimal(number).scaleb(power):f}" for power in (-1, 1) if "/" not in number)
    texts = [f"{meant}{rest}" for meant in (*shifted, *_swapped(number), turned)]
    for unit in _MIXED_UP.get(quantity.unit, ()) if "/" not in quantity.text else ():
        texts.append(number + re.sub(rf"\b{quantity.unit}\b", unit, rest))
    for text in dict.fromkeys(texts):
        try:
            read = parse(limits.kind, text, limits.tails)
        except QuantityError:
            continue
        low, high = limits.bounds_of(read.unit)
        if low <= read.value <= high and read.value != quantity.value:
            yield text, read


def _swapped(number: str) -> Iterator[str]:
    """Yield a number with two digits swapped, neighbors first; of a tape fraction, in one part."""
    parts = [part.span() for part in _PART.finditer(number)]
    pairs = [pair for part in parts for pair in combinations(range(*part), 2)]
    for one, other in sorted(pairs, key=lambda pair: pair[1] - pair[0]):
        if "." not in number[one] + number[other]:
            signs = list(number)
            signs[one], signs[other] = signs[other], signs[one]
            yield "".join(signs)


@dataclass(frozen=True, slots=True)
class Correction:
    """One reading taken otherwise, and how the joints would then bend."""

    path: Path
    was: str  # as written
    meant: str
    turns: bool  # whether the sign of a slope is all that changes
    bends: Sequence[float]  # [deg], all joints at ride height
    misfit: float  # [deg], what all joints bend, what rises aft, and what makes the slip rarer


def corrections(setup: Setup, configuration: Configuration) -> list[Correction]:
    """Return the readings that, taken otherwise, give a plausible driveline; the best fit first."""
    design, found, now = configuration.design, [], sum(bends_of(configuration))
    assert design is not None
    for path, quantity, limits, written in quantities(setup):
        if not written or path[0] not in _LINE:
            continue
        for text, read in slips(quantity, limits):
            meant = design.vary({".".join(path): read.value}).build()
            bends = bends_of(meant)
            better = sum(bends) < now - GAIN and limits.is_usual(read)
            if better and is_plausible(meant):
                turns = path[-1] == "slope" and read.value == -quantity.value
                misfit = sum(bends) + _rise(meant) + (0.0 if turns else RARER)
                found.append(Correction(path, quantity.text, text, turns, bends, misfit))
    return sorted(found, key=lambda c: c.misfit)


def is_plausible(configuration: Configuration) -> bool:
    """Say whether places and joint angles are those of a driveline that could stand there."""
    c = configuration
    behind, _, above = c.axle - c.pinion.point
    near = 0 < behind < FARTHEST_AXLE and abs(above) < PINION_OFF_AXLE
    return bool(near) and max(bends_of(c)) < FITS


def misread(setup: Setup, configuration: Configuration) -> Found:
    """Yield the reading that bends the driveline as none is, or an end whose sign was lost."""
    bends = bends_of(configuration)
    if max(bends) <= BENT and not _signs_lost(configuration):
        return
    fits = likeliest(setup, configuration)
    if not fits:
        return
    best, *others = fits
    if max(bends) > BENT:
        number = 1 + int(np.argmax(bends))
        said = f"joint {number} would bend {max(bends):.0f} deg at ride height; "
    else:
        now, then = (f"{b[0]:.1f} and {b[-1]:.1f}" for b in (bends, best.bends))
        taken = "its sign turned" if best.turns else best.meant
        said = f"the first and last joint bend {now} deg, with {taken} {then}; "
    sign = "front end high is positive, was the sign lost?"
    words = sign if best.turns else f"is it {best.meant}?"
    yield best.path, f" is {best.was}; {said}{words}{_or(best, others)}"


def asked(setup: Setup, configuration: Configuration) -> str:
    """Return which readings may be misread, and what they would be, or ""."""
    fits = likeliest(setup, configuration)
    if not fits:
        return ""
    best, *others = fits
    return f"{part_name(best.path)} is {best.was}, is it {best.meant}?{_or(best, others)}"


def _or(best: Correction, others: Sequence[Correction]) -> str:
    """Return what else may be asked, behind what was asked first."""
    said = ""
    for c in others:
        which = "" if c.path == best.path else f"{part_name(c.path)} is {c.was}, "
        said += f" Or {which}is it {c.meant}?"
    return said


def likeliest(setup: Setup, configuration: Configuration) -> list[Correction]:
    """Return the correction that fits best, and the next if it fits as well."""
    found = corrections(setup, configuration)[:2]
    return [c for c in found if c.misfit < found[0].misfit + AS_GOOD]


def _signs_lost(configuration: Configuration) -> bool:
    """Say whether a slope with its sign turned would straighten both ends together."""
    design = configuration.design
    assert design is not None
    first, *_, last = bends_of(configuration)
    for path in ("output.slope", "pinion.slope", "frame.slope"):
        if path in design.values:
            turned = design.vary({path: -design.values[path]}).build()
            new_first, *_, new_last = bends_of(turned)
            gain = first + last - new_first - new_last
            if gain > GAIN and max(new_first, new_last) < STRAIGHT:
                return True
    return False


def bends_of(configuration: Configuration) -> Sequence[float]:
    """Return the joint angles at ride height [deg]; straight back where a shaft has no room."""
    axes = _axes(configuration)
    if not min(float(axis[0]) for axis in axes[1:-1]) >= SHORTEST:  # also where it is no number
        return [180.0]
    return [
        float(np.degrees(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b)))
        for a, b in pairwise(axes)
    ]


def _rise(configuration: Configuration) -> float:
    """Return how steep all that rises toward the rear does so [deg]; drivelines go down."""
    rises = (math.atan2(z, x) for x, _, z in _axes(configuration))
    return math.degrees(sum(rise for rise in rises if rise > 0))


def _axes(configuration: Configuration) -> Sequence[np.ndarray]:
    """Return the output axis, the shafts from joint to joint [m] and the pinion axis, each (3,)."""
    c = configuration
    centers = joint_centers(c.output.point, c.bearings, c.pinion.point)
    along = (b - a for a, b in pairwise(centers))
    output, pinion = (axis_at(end.slope, end.plan) for end in (c.output, c.pinion))
    return [output, *along, pinion]
