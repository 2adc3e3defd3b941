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
from sim.scene.design import Configuration
from sim.scene.quantity import NUMBER, Quantity, QuantityError, parse
from sim.scene.tables.bearing import Bearing, joint_centers
from sim.scene.tables.ends import End, axis_at
from sim.scene.tables.setup import Setup
from sim.scene.text import Found, Path
from sim.scene.values import OPPOSITES, Vector, opposite
from sim.scene.words import part_name

BENT = 15.0  # [deg], more than joints bend at ride height; common practice, no source
FITS = 8.0  # [deg], what plain joints with a bearing between, or one reading corrected, may bend
STRAIGHT = 6.0  # [deg], what ends with a turned sign may still bend; common practice
GAIN = 3.0  # [deg], by which a correction must straighten the joints together
RARER = 3.0  # [deg], by which anything but a lost sign must fit better than that
SHORTEST = 0.1  # [m], fore and aft, of a shaft that can be
LENGTH_SPREAD = 0.003  # [m], of a length without ±; common practice, no source
FARTHEST_AXLE = 1.2  # [m], pinion joint to axle center; no axle housing is longer
ASIDE = 0.03  # [m], from the middle of the vehicle, beyond which a side may have been swapped
IN_LINE = 0.01  # [m], by which what is taken to the other side may miss the line of the others
PINION_OFF_AXLE = 0.15  # [m], a proposed pinion joint above or below its axle, at most
AS_GOOD = 1.0  # [deg], by which a correction that fits as well as the best may fit worse
_READ = re.compile(NUMBER)
_TAPE_IN_MM = re.compile(r"\d/\d+\s*((±|\+/?-)[^a-z]*)?mm")
_PART = re.compile(r"[\d.]+")
_MIXED_UP = {"mm": ("in",), "in": ("mm", "cm"), "cm": ("in", "mm")}
_LINE = ("output", "pinion", "bearing", "frame", "axle", "shaft")


def unusual(setup: Setup) -> Found:
    """Yield readings out of what comparable vehicles have, with what may have been meant."""
    for path, quantity, limits, written in quantities(setup):
        if written and (said := unlike(quantity, limits)):
            yield path, said


def unlike(quantity: Quantity, limits: In) -> str:
    """Say that a reading is unlike those of comparable vehicles, and what may be meant; or ""."""
    if _TAPE_IN_MM.search(quantity.text):
        return f" is {quantity.text}; fractions are read off a tape in inches: is it in?"
    if limits.is_usual(quantity):
        return ""
    meant = (text for text, read in slips(quantity, limits) if limits.is_usual(read))
    hint = f"; is it {fit}?" if (fit := next(meant, "")) else ""
    return f" is {quantity.text}; usual is {limits.usual_in(quantity.unit)}{hint}"


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
            if not re.match("-?0[0-9]", text := "".join(signs)):  # nobody writes 003
                yield text


@dataclass(frozen=True, slots=True)
class Correction:
    """One reading taken otherwise, and how the joints would then bend."""

    path: Path
    was: str  # as written
    meant: str
    turns: bool  # whether the sign of a slope is all that changes
    bends: Sequence[float]  # [deg], all joints at ride height
    misfit: float  # [deg], what all joints bend, what rises aft, and what makes the slip rarer

    @property
    def asks(self) -> str:
        """Whether it was meant, as a question."""
        sign = "front end high is positive, was the sign lost?"
        return sign if self.turns else f"is it {self.meant}?"


def likeliest(setup: Setup, configuration: Configuration, part: Path = ()) -> list[Correction]:
    """Return the reading, of a part, that taken otherwise gives a plausible driveline best.

    The next is there too if it fits as well.
    """
    design, found, now = configuration.design, [], sum(bends_of(configuration))
    assert design is not None
    plausible, sides = is_plausible(configuration), {*_sides(configuration)}
    for path, quantity, limits, written in quantities(setup):
        if not written or path[0] not in _LINE or path[: len(part)] != part:
            continue
        here, read = ".".join(path), slips(quantity, limits)
        taken = [(text, here, q.value) for text, q in read if limits.is_usual(q)]
        if here in sides or (path[-1] in ("up", "down") and "as_designed" not in path):
            taken.append((f"{quantity.text} {OPPOSITES[path[-1]]}", opposite(here), quantity.value))
        for text, there, value in taken:
            meant = design.vary({there: value}).build()
            bends = bends_of(meant)
            if (sum(bends) < now - GAIN or not plausible) and is_plausible(meant):
                turns = path[-1] == "slope" and value == -quantity.value
                misfit = sum(bends) + _rise(meant) + (0.0 if turns else RARER)
                found.append(Correction(path, quantity.text, text, turns, bends, misfit))
    found.sort(key=lambda c: c.misfit)
    return [c for c in found[:2] if c.misfit < found[0].misfit + AS_GOOD]


def is_plausible(configuration: Configuration) -> bool:
    """Say whether places, lengths and joint angles are those of a driveline that could be."""
    c = configuration
    behind, _, above = c.axle - c.pinion.point
    near = c.on_frame or 0 < behind < FARTHEST_AXLE
    close = near and abs(above) < PINION_OFF_AXLE and max(bends_of(c)) < FITS
    return bool(close) and not any(lengths_off(c))


def lengths_off(configuration: Configuration) -> Iterator[tuple[str, float]]:
    """Yield shafts that are not as long as was read, by their numbers, and their lengths [m]."""
    c, centers = configuration, centers_of(configuration)
    for number, shaft in enumerate(c.shafts, 1):
        placed = float(np.linalg.norm(centers[number] - centers[number - 1]))
        if shaft.length is not None and c.cut_as is None:
            spread = c.readings[f"shaft.{number}.length"].spread or LENGTH_SPREAD
            if abs(placed - shaft.length) > spread:
                yield str(number), placed


def misread(setup: Setup, configuration: Configuration) -> Found:
    """Yield the reading that bends the driveline as none is, or an end whose sign was lost."""
    bends, is_hung = bends_of(configuration), configuration.bearings and is_plain(configuration)
    most = FITS if is_hung else BENT
    suspect = max(bends) > most or _signs_lost(configuration)
    if not suspect or not (fits := likeliest(setup, configuration)):
        return
    best = fits[0]
    if max(bends) > most:
        number = 1 + int(np.argmax(bends))
        said = f"joint {number} would bend {max(bends):.0f} deg at ride height; "
    else:
        now, then = (f"{b[0]:.1f} and {b[-1]:.1f}" for b in (bends, best.bends))
        taken = "its sign turned" if best.turns else best.meant
        said = f"the first and last joint bend {now} deg, with {taken} {then}; "
    yield best.path, f" is {best.was}; {said}{_ask(fits)}"


def asked(setup: Setup, configuration: Configuration, part: Path = ()) -> str:
    """Return which readings, of one part, may be misread, behind what is wrong; or ""."""
    fits = likeliest(setup, configuration, part)
    return f"; {part_name(fits[0].path)} is {fits[0].was}, {_ask(fits)}" if fits else ""


def _ask(fits: Sequence[Correction]) -> str:
    """Return what may have been meant, by the reading that was named first or by others."""
    new = ("" if c.path == fits[0].path else f"{part_name(c.path)} is {c.was}, " for c in fits)
    return " Or ".join(f"{which}{c.asks}" for which, c in zip(new, fits, strict=True))


def is_plain(configuration: Configuration) -> bool:
    """Say whether all joints are plain ones, which want their angles small and alike."""
    return all(joint.of_kind.crosses == 1 for joint in configuration.joints)


def _signs_lost(configuration: Configuration) -> bool:
    """Say whether a slope or a side turned over would straighten what it bends."""
    design, bends = configuration.design, bends_of(configuration)
    assert design is not None
    slopes = {"output.slope", "pinion.slope", "frame.slope"} & design.values.keys()
    turned = [{path: -design.values[path]} for path in slopes]
    turned += [{opposite(path): design.values[path]} for path in _sides(configuration)]
    for changes in turned:
        new = bends_of(design.vary(changes).build())
        straight = all(now < STRAIGHT or now == was for now, was in zip(new, bends, strict=True))
        if sum(bends) - sum(new) > GAIN and straight:
            return True
    return False


def _sides(configuration: Configuration) -> Iterator[str]:
    """Yield the sides that, swapped, lie in line with all others, seen from above."""
    c = configuration
    parts: dict[str, End | Bearing] = {"output": c.output, "pinion": c.pinion}
    parts |= {f"bearing.{number}": bearing for number, bearing in enumerate(c.bearings, 1)}
    for name, part in parts.items():
        x, y = part.point[:2]
        others = np.array(sorted((*o.point[:2],) for o in parts.values() if o is not part))
        if abs(y) > ASIDE and abs(np.interp(x, *others.T) + y) < IN_LINE:
            yield f"{name}.{'right' if y > 0 else 'left'}"


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
    along = (b - a for a, b in pairwise(centers_of(configuration)))
    ends = (configuration.output, configuration.pinion)
    output, pinion = (axis_at(end.slope, end.plan) for end in ends)
    return [output, *along, pinion]


def centers_of(configuration: Configuration) -> tuple[Vector, ...]:
    """Return the joint centers at ride height [m], each (3,), from the front."""
    c = configuration
    return joint_centers(c.output.point, c.bearings, c.pinion.point)
