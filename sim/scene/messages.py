"""What pydantic found, in the words of a shop."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from sim import units
from sim.scene.fields import In
from sim.scene.layers import OWN
from sim.scene.quantity import Quantity
from sim.scene.text import Path, Tables
from sim.scene.values import OPPOSITES
from sim.scene.words import NUMBERED, TOP, known_keys, one_of, quote, suggest
from sim.scene.written import SUSPENSIONS

NAME_RULE = (
    "a name has at most 40 letters, digits, spaces and . , ( ) _ + -, and starts with a letter "
    "or digit"
)
_SIZES = {"aft": "fore and aft", "right": "side to side", "up": "up and down"}


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of one value.

    Attributes:
        kind: Pydantic's word for it, or ours.
        path: Keys of the value that is at fault.
        written: What was written there.
        context: What else the message needs.
        tables: The whole set-up as written.
        place: The path in words, with the configuration where the line stands in one.
    """

    kind: str
    path: Path
    written: object
    context: Mapping[str, Any]
    tables: Tables
    place: str = ""


def fault_of(error: Mapping[str, Any], tables: Tables) -> Fault:
    """Return the fault behind one of pydantic's errors.

    Args:
        error: An item of ``ValidationError.errors()``.
        tables: The set-up that was validated.

    Returns:
        The fault, its path narrowed to the key that a reader would mend.
    """
    path = tuple(
        step
        for depth, step in enumerate(map(str, error["loc"]))
        if not (depth == 1 and error["loc"][0] == "suspension" and step in SUSPENSIONS)
    )
    kind, context = str(error["type"]), error.get("ctx", {})
    narrower = {"bore": "wall", "teeth": "off_by"}
    if kind in narrower:
        path = (*path, narrower[kind])
    elif kind == "both":
        path = (*path, context["keys"][0])
    elif kind.startswith("union_tag"):
        path = (*path, "kind")
    elif path[-1:] == ("[key]",):
        kind, path = "name", path[:-1]
    return Fault(kind, path, error["input"], context, tables)


def say(fault: Fault) -> str:
    """Return the words for a fault.

    Args:
        fault: The fault, with its place.

    Returns:
        One line: what is written, what is allowed, a hint [text].
    """
    return _WORDS.get(fault.kind, _anything_else)(fault)


def _anything_else(fault: Fault) -> str:
    return f"{fault.place} is {quote(fault.written)}; this is not understood here"


def _unknown(fault: Fault) -> str:
    here = list(known_keys(fault.path[:-1], fault.tables))
    if len(fault.path) == 1:  # a table of its own, or a key beside the tables
        here += OWN if fault.place.startswith("configuration") else TOP
    return f"{fault.place} is not a known key; {suggest(fault.path[-1], here)}"


def _not_text(fault: Fault) -> str:
    limits: In = fault.context["limits"]
    bare, written, kind = fault.written, quote(fault.written), limits.kind
    if not isinstance(bare, int | float) or isinstance(bare, bool) or not abs(bare) < 1e9:
        return f'{fault.place} is {written}; {kind.name} belongs here, as in "{limits.example}"'
    ways = dict.fromkeys(f'"{written} {unit}"' for unit in (kind.metric, kind.inch))
    return f"{fault.place} is {written}; say the unit, in quotes: {' or '.join(ways)}"


def _quantity(fault: Fault) -> str:
    return f"{fault.place} is {quote(fault.written)}: {fault.context['why']}"


def _range(fault: Fault) -> str:
    limits: In = fault.context["limits"]
    quantity: Quantity = fault.context["quantity"]
    said = f"{fault.place} is {quantity.text}; allowed: {limits.range_in(quantity.unit)}"
    return said + _range_hint(fault.path[-1], limits, quantity)


def _range_hint(key: str, limits: In, quantity: Quantity) -> str:
    """Return how a value may have come out of its range."""
    bare = quantity.text.strip().lstrip("-−")
    if quantity.value < 0 and key in ("bump", "droop", "parked_low"):
        return "; it is a distance from ride height, leave out the minus"
    if quantity.value < 0 and key in OPPOSITES:
        return f'; for the other side write {OPPOSITES[key]} = "{bare}"'
    if limits.kind is units.ANGLE:
        return _protractor_hint(quantity)
    if quantity.unit in ("mm", "in") and quantity.value > 0:
        other = {"mm": "in", "in": "mm"}[quantity.unit]
        scale = units.factor(units.LENGTH, other) / units.factor(units.LENGTH, quantity.unit)
        low, high = limits.bounds
        return f"; is it {other}?" if low <= quantity.value * scale <= high else ""
    return ""


def _protractor_hint(quantity: Quantity) -> str:
    """Return what an angle far beyond its range may have been read as."""
    degrees = quantity.value / units.factor(units.ANGLE, "deg")
    if 330 <= degrees <= 360:
        return f" (a protractor that shows {quantity.text} means {degrees - 360:g} deg)"
    if 60 <= degrees <= 120:
        return f" (read on an upright face? then it is {abs(90 - degrees):g} deg from square)"
    return ""


def _wide(fault: Fault) -> str:
    limits: In = fault.context["limits"]
    quantity: Quantity = fault.context["quantity"]
    low, high = limits.bounds_of(quantity.unit)
    most = units.say(limits.kind, (high - low) / 4, quantity.unit)
    return f"{fault.place} is {quantity.text}; ± at most {most} {units.spell(quantity.unit)}"


def _exact(fault: Fault) -> str:
    return f"{fault.place} is {fault.context['quantity'].text}: a limit is exact, leave out ±"


def _both(fault: Fault) -> str:
    one, other = fault.context["keys"]
    table = fault.place.rpartition(one)[0].rstrip("., ")
    return f"{table} has both {one} and {other}; keep one"


def _flat(fault: Fault) -> str:
    same = fault.context["same"]
    said = f"{fault.place} has no size {' and '.join(_SIZES[side] for side in same)}; "
    if fault.context["pipe"] is not None:
        return said + "from and to are its two ends"
    if len(same) == 2:
        return said + 'for a round pipe write pipe = "… mm", its outside diameter'
    return said + "from and to are opposite corners"


def _bore(fault: Fault) -> str:
    wall: Quantity = fault.context["quantity"]
    below = units.say(units.LENGTH, fault.context["below"], wall.unit)
    return f"{fault.place} is {wall.text}; must be below {below} {wall.unit}, half of outside"


def _teeth(fault: Fault) -> str:
    off_by = fault.context["quantity"].text
    return f'{fault.place} is {off_by}; then teeth must be known, as in teeth = "16 teeth"'


def _choice(fault: Fault) -> str:
    allowed = re.findall(r"'([^']*)'", fault.context["expected"])
    return f"{fault.place} is {quote(fault.written)}; {one_of(str(fault.written), allowed)}"


def _suspension_kind(fault: Fault) -> str:
    kind = fault.written.get("kind") if isinstance(fault.written, dict) else fault.written
    return f"{fault.place} is {quote(kind)}; {one_of(str(kind), list(SUSPENSIONS))}"


def _table(fault: Fault) -> str:
    name = fault.place.rsplit('", ', 1)[-1].replace(", ", ".")
    if fault.path[-1] in (*NUMBERED, "reading"):
        first = "1"
    else:
        first = next(iter(known_keys(fault.path, fault.tables)), "…")
    written = quote(fault.written)
    return f'{fault.place} is {written}; a table belongs here, as in {name}.{first} = "…"'


def _empty(fault: Fault) -> str:
    name = ".".join(fault.path)
    return f"{fault.place}: none is written; they are numbered from 1, as in {name}.1"


def _too_many(fault: Fault) -> str:
    there = len(fault.written) if isinstance(fault.written, dict) else "too many"
    return f"{fault.place}: {there} are written; at most {fault.context['max_length']}"


def _text(fault: Fault) -> str:
    return f"{fault.place} is {quote(fault.written)}; text in quotes belongs here"


def _series(fault: Fault) -> str:
    return f'{fault.place} is {quote(fault.written)}; a series is a short name, as in "1410"'


def _name(fault: Fault) -> str:
    *table, key = fault.path
    if table[0] in NUMBERED or table[-1] == "reading":
        example = ".".join(table)
        return f"{fault.place} is no number; 1 to 9, from the front, as in {example}.1"
    return f"{table[0].replace('_', ' ')} {quote(key)}: {NAME_RULE}"


_WORDS: dict[str, Callable[[Fault], str]] = {
    "extra_forbidden": _unknown,
    "not_text": _not_text,
    "quantity": _quantity,
    "range": _range,
    "wide": _wide,
    "exact": _exact,
    "both": _both,
    "flat": _flat,
    "bore": _bore,
    "teeth": _teeth,
    "literal_error": _choice,
    "union_tag_invalid": _suspension_kind,
    "model_type": _table,
    "model_attributes_type": _table,
    "dict_type": _table,
    "too_short": _empty,
    "too_long": _too_many,
    "string_type": _text,
    "string_pattern_mismatch": _series,
    "name": _name,
}
