"""Quantities as people write them, "43-1/2 in", "3.0 ± 0.25 deg", and their SI values."""

from __future__ import annotations

import difflib
import functools
import re
from dataclasses import dataclass

from sim.display import DisplayName
from sim.units import KINDS, LENGTH, SHARE, Kind, factor, say, spell

TAILS = ("to level", "at the wheels", "at the shaft")
LONGEST = 60
SPELLINGS = {spelling for kind in KINDS for spelling in kind.spellings}
# Road speeds as people write them, each nearer in letters to the wrong unit.
MEANT = dict.fromkeys(("kph", "kmh", "kmph"), "km/h") | dict.fromkeys(("mi/h", "m/h"), "mph")


class QuantityError(ValueError):
    """Text that is no such quantity: what is wrong, and a hint."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value read from a scene."""

    value: float  # value in SI units, radians for angles; in the unit of ``Kind.apart`` for those
    spread: float  # half width of its 95 % band, same unit; 0 if none was written
    text: str  # the value as written
    unit: str  # spelling of its unit, lower case
    tail: str = ""  # what it was taken against, as in "to level", or ""


NUMBER = r"[+-]?(?:\d+[ -]+\d+/\d+|\d+/\d+|\d+\.\d*|\.\d+|\d+)"
_LEADING = re.compile(rf"({NUMBER})(.*)", re.ASCII)
# Spaces that do not break, and signs that word processors put in place of minus and the dot.
_TIDY = str.maketrans(dict.fromkeys("\u00a0\u202f\u2009", " ") | {"\u2212": "-", "\u22c5": "·"})


@functools.lru_cache(maxsize=1024)  # configurations of one scene share most of what is written
def parse(kind: Kind, written: str, tails: tuple[str, ...] = ()) -> Quantity:
    """Return the quantity that a text stands for.

    Behind it may stand some of ``TAILS``; the value is in SI units.

    Raises:
        QuantityError: If it is none, or of another kind.

    Example:
        >>> parse(LENGTH, "43-1/2 in").value
        1.1049
    """
    text = " ".join(written.translate(_TIDY).split())
    if len(text) > LONGEST:
        raise QuantityError(f"longer than {LONGEST} characters")
    if not text:
        raise QuantityError(f"empty; write {kind.name}, as in 1 {kind.metric}")
    tail = _tail(text, tails)
    body = text[: len(text) - len(tail)].rstrip().replace("+/-", "±").replace("+-", "±")
    _refuse_slips(body)
    first, *rest = (_split(kind, part.strip()) for part in body.split("±"))
    if len(rest) > 1:
        raise QuantityError("± is written twice")
    if not rest:
        unit = _unit(kind, first[1], first[0])
        return Quantity(_number(first[0]) * factor(kind, unit), 0.0, written, unit, tail)
    unit = _unit(kind, first[1] or rest[0][1], first[0], f" ± {rest[0][0]}")
    value = _number(first[0]) * factor(kind, unit)
    spread = _spread(kind, first, rest[0], value)
    return Quantity(value, spread, written, unit, tail)


def in_display(kind: Kind, text: str, display: DisplayName, tails: tuple[str, ...] = ()) -> str:
    """Return a quantity of ours, a default or an example, in the units of a reader.

    Example:
        >>> in_display(LENGTH, "75 ± 5 mm", "inch")
        '2.95 ± 0.197 in'
    """
    if display == "metric" or kind.metric == kind.inch:
        return text
    read = parse(kind, text, tails)
    numbers = [say(kind, number, kind.inch) for number in (read.value, read.spread) if number]
    words = f"{' ± '.join(numbers) or '0'} {kind.inch}"
    return f"{words} {read.tail}" if read.tail else words


def _tail(text: str, tails: tuple[str, ...]) -> str:
    """Return what the text says behind the quantity, one of TAILS or nothing."""
    tail = next((t for t in TAILS if text.lower().endswith(t)), "")
    if tail and tail not in tails:
        raise QuantityError(f'"{tail}" does not belong here')
    if "at the wheels" in tails and not tail:
        raise QuantityError("say where: at the wheels, or at the shaft")
    return tail


def _refuse_slips(body: str) -> None:
    """Refuse the ways of writing numbers that could be read in two ways."""
    if re.search(r"[½¼¾⅛⅜⅝⅞]", body):
        raise QuantityError("write the fraction out, as in 43-1/2 in")
    if re.search(r"[0-9],[0-9]", body):
        raise QuantityError("write a point for decimals, no comma: " + body.replace(",", "."))
    if re.match(r"[+-]?[0-9.]+e[+-]?[0-9]", body, re.IGNORECASE):
        raise QuantityError("write the number out, without e")


def _spread(kind: Kind, first: tuple[str, str], second: tuple[str, str], value: float) -> float:
    """Return what follows ±, in the unit of the value."""
    number, unit = second
    if unit == "%" and first[1] and kind is not SHARE:
        spread = abs(value) * _number(number) / 100
    else:
        spread = _number(number) * factor(kind, _unit(kind, unit or first[1], number))
    if not spread > 0:
        raise QuantityError("what follows ± must be above 0")
    return spread


def _split(kind: Kind, text: str) -> tuple[str, str]:
    """Return the number and the unit of one side of a ±."""
    match = _LEADING.fullmatch(text)
    unit = " ".join(match[2].split()) if match else ""
    if match is None or (re.search(r"[0-9]", unit) and unit.lower() not in SPELLINGS):
        example = "43-1/2 in" if kind is LENGTH else f"12.5 ± 0.5 {kind.metric}"
        raise QuantityError(
            f"not understood; write {kind.name} as in 12.5 {kind.metric} or {example}"
        )
    return match[1], unit


def _number(text: str) -> float:
    """Return the number that a decimal or a tape fraction stands for."""
    sign = -1.0 if text.startswith("-") else 1.0
    text = text.lstrip("+-")
    if "/" not in text:
        return sign * float(text)
    *whole, fraction = re.split(r"[ -]+", text)
    top, bottom = (int(x) for x in fraction.split("/"))
    if bottom not in (2, 4, 8, 16, 32, 64):
        raise QuantityError(
            f"{fraction} is on no tape: halves, quarters, 8ths, 16ths, 32nds, 64ths"
        )
    if top >= bottom and whole:
        raise QuantityError(f"the fraction {fraction} is 1 or more")
    if top >= bottom:
        more, rest = divmod(top, bottom)
        proper = f"{more}-{rest}/{bottom}" if rest else f"{more}"
        raise QuantityError(f"{fraction} is 1 or more; write {proper}")
    return sign * (float(whole[0] if whole else 0) + top / bottom)


def _unit(kind: Kind, text: str, number: str, spread: str = "") -> str:
    """Return the spelling of a unit, or refuse it with the nearest one, keeping the ±."""
    spelled = text.lower()
    if spelled in kind.spellings:
        return spelled
    fitting = list(dict.fromkeys((kind.metric, kind.inch)))
    if not spelled and kind is SHARE and "/" not in number and abs(float(number)) <= 2:
        raise QuantityError(f"the unit is missing; write {float(number) * 100:g} %")
    if not spelled:
        ways = " or ".join(f"{number}{spread} {unit}" for unit in fitting)
        raise QuantityError(f"the unit is missing; write {ways}")
    if spelled in ('"', "”", "''", "″"):
        raise QuantityError(f"write in for inches: {number} in")
    this = f"this is {kind.name}: {', '.join(fitting)}"
    for other in KINDS:
        if spelled in other.spellings:
            raise QuantityError(f"{text} is the unit of {other.name}; {this}")
    near = difflib.get_close_matches(spelled, kind.spellings, 1, 0.5)
    near = [MEANT[spelled]] if MEANT.get(spelled) in kind.spellings else near
    hint = f"did you mean {spell(near[0])}?" if near else this
    raise QuantityError(f"unknown unit {text}; {hint}")
