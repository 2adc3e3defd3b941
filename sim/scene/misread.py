"""Readings that were likely misread: unlike comparable vehicles, or bending what is never bent so.

What is usual stands with each key; it is common practice, no source, and raises doubts only.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise

import numpy as np

from sim.scene.allowed import In
from sim.scene.as_read import quantities
from sim.scene.design import Configuration, Design
from sim.scene.quantity import Quantity, QuantityError, parse
from sim.scene.tables.bearing import joint_centers
from sim.scene.tables.setup import Setup
from sim.scene.text import Found, Path
from sim.scene.values import vector

BENT = 15.0  # [deg], more than joints bend at ride height; common practice, no source
FITS = 6.0  # [deg], what a line with one reading corrected may still bend; common practice
SIGN_GAIN = 3.0  # [deg], by which a turned sign must straighten both ends together
SHORTEST = 0.1  # [m], fore and aft, of a shaft that can be
_NUMBER = re.compile(r"[+-]?\d*\.?\d+(?![-/\d])")
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
    found = _NUMBER.match(quantity.text)
    if not found:
        return
    number, rest = found[0], quantity.text[found.end() :]
    shifted = (f"{Decimal(number).scaleb(power):f}" for power in (-1, 1))
    digits = [place for place, sign in enumerate(number) if sign.isdigit()]
    swapped = (_swapped(number, *pair) for pair in pairwise(digits))
    turned = number[1:] if number[0] in "+-" else f"-{number}"
    other = {"mm": "in", "in": "mm"}.get(quantity.unit, "")
    texts = [f"{meant}{rest}" for meant in (*shifted, *swapped, turned)]
    texts += [number + re.sub(rf"\b{quantity.unit}\b", other, rest)] if other else []
    for text in texts:
        try:
            read = parse(limits.kind, text, limits.tails)
        except QuantityError:
            continue
        low, high = limits.bounds_of(read.unit)
        if low <= read.value <= high and read.value != quantity.value:
            yield text, read


def _swapped(number: str, one: int, other: int) -> str:
    """Return a number with the digits at two places swapped."""
    signs = list(number)
    signs[one], signs[other] = signs[other], signs[one]
    return "".join(signs)


def bent(setup: Setup, configuration: Configuration) -> Found:
    """Yield the one reading that bends the driveline as none is, and what would fit."""
    bends = bends_of(configuration)
    if max(bends) > BENT and (fit := what_fits(setup, configuration)):
        path, was, meant = fit
        number = 1 + int(np.argmax(bends))
        said = f" is {was}; joint {number} would bend {max(bends):.0f} deg at ride height; "
        yield path, said + f"is it {meant}?"


def what_fits(setup: Setup, configuration: Configuration) -> tuple[Path, str, str] | None:
    """Return path, text and fitting text of the reading that, misread, bends the driveline."""
    design, best, found = configuration.design, FITS, None
    assert design is not None
    for path, quantity, limits, written in quantities(setup):
        if not written or path[0] not in _LINE:
            continue
        for text, read in slips(quantity, limits):
            bend = max(bends_of(design.vary({".".join(path): read.value}).build()))
            if bend < best:
                best, found = bend, (path, quantity.text, text)
    return found


def turned_sign(setup: Setup, configuration: Configuration) -> Found:
    """Yield the slope that, with its sign turned, would straighten both ends of the driveline."""
    design = configuration.design
    assert design is not None
    slopes = [p for p in ("output.slope", "pinion.slope", "frame.slope") if p in design.values]
    bends = {path: _turned(design, path) for path in slopes}
    path, (new_first, new_last) = min(bends.items(), key=lambda item: sum(item[1]))
    first, *_, last = bends_of(configuration)
    gain = first + last - new_first - new_last
    if gain > SIGN_GAIN and max(new_first, new_last) < FITS:
        said = (
            f" is {design.readings[path].text}; the first and last joint bend {first:.1f} and "
            f"{last:.1f} deg, with its sign turned {new_first:.1f} and {new_last:.1f}; "
        )
        yield tuple(path.split(".")), said + "front end high is positive, was the sign lost?"


def _turned(design: Design, path: str) -> tuple[float, float]:
    """Return how far both ends bend with the sign of a slope turned [deg]."""
    first, *_, last = bends_of(design.vary({path: -design.values[path]}).build())
    return first, last


def bends_of(configuration: Configuration) -> Sequence[float]:
    """Return the joint angles at ride height [deg]; straight back where a shaft has no room."""
    c = configuration
    centers = joint_centers(c.output.point, c.bearings, c.pinion.point)
    along = [b - a for a, b in pairwise(centers)]
    if min(float(way[0]) for way in along) < SHORTEST:
        return [180.0]
    axes = [_axis(c.output.slope, c.output.plan), *along, _axis(c.pinion.slope, c.pinion.plan)]
    return [
        float(np.degrees(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b)))
        for a, b in pairwise(axes)
    ]


def _axis(slope: float, plan: float) -> np.ndarray:
    flat = np.cos(slope)
    return vector(flat * np.cos(plan), flat * np.sin(plan), -np.sin(slope))
