"""How the tables of a scene file declare their keys: quantities in a range, texts, places.

The pydantic models keep the file's shape; every value keeps its text, unit and ±.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Annotated, Any, get_args

from pydantic import BaseModel, ConfigDict, Field, GetJsonSchemaHandler, model_validator
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from sim import units
from sim.display import DisplayName
from sim.scene.quantity import Quantity, QuantityError, in_display, parse
from sim.units import Kind

NAME_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9 .,()_+-]{0,39}$"

Name = Annotated[str, Field(pattern=NAME_PATTERN)]
Count = Annotated[str, Field(pattern=r"^[1-9]$")]


class In:
    """A quantity of one kind between two bounds, which are written as a scene would write them."""

    def __init__(
        self,
        kind: Kind,
        low: str,
        high: str,
        example: str,
        *,
        tails: tuple[str, ...] = (),
        exact: bool = False,
        apart: tuple[float, float] = (0.0, 0.0),
        usual: tuple[str, str] | None = None,
    ) -> None:
        self.kind, self.low, self.high, self.example = kind, low, high, example
        self.usual = usual
        self.tails, self.exact, self.apart = tails, exact, apart

    @cached_property
    def bounds(self) -> tuple[float, float]:
        """Lowest and highest value [SI unit of the kind]."""
        return parse(self.kind, self.low).value, parse(self.kind, self.high).value

    def bounds_of(self, unit: str) -> tuple[float, float]:
        """Return the bounds that hold for a value written in a unit."""
        return self.apart if unit in self.kind.apart else self.bounds

    def range_in(self, unit: str) -> str:
        """Return the allowed range as "0.5 to 50 mm"."""
        return self._span(self.bounds_of(unit), unit)

    def _span(self, bounds: Sequence[float], unit: str) -> str:
        low, high = (units.say(self.kind, bound, unit) for bound in bounds)
        if self.kind is units.RATIO:
            return f"{low}:1 to {high}:1"
        return f"{low} to {high} {units.spell(unit)}"

    def is_usual(self, quantity: Quantity) -> bool:
        """Say whether comparable vehicles have such a value; all do where nothing is said."""
        if self.usual is None or quantity.unit in self.kind.apart:
            return True
        low, high = self._usual_bounds
        return low <= quantity.value <= high

    def usual_in(self, unit: str) -> str:
        """Return what comparable vehicles have, as "1.2 to 6.5 mm"."""
        return self._span(self._usual_bounds, unit)

    @cached_property
    def _usual_bounds(self) -> list[float]:
        return [parse(self.kind, bound, self.tails).value for bound in self.usual or ()]

    def in_display(self, text: str, display: DisplayName) -> str:
        """Return a quantity of ours, a default or an example, in the units of a reader."""
        return in_display(self.kind, text, display, self.tails)

    def read(self, written: Any) -> Quantity:
        """Turn what a file says into a quantity, or tell pydantic why not."""
        if not isinstance(written, str):
            raise PydanticCustomError("not_text", "not text", {"limits": self})
        try:
            quantity = parse(self.kind, written, self.tails)
        except QuantityError as error:
            raise PydanticCustomError("quantity", "no quantity", {"why": str(error)}) from None
        context = {"limits": self, "quantity": quantity}
        low, high = self.bounds_of(quantity.unit)
        slack = 1e-9 * (high - low)
        if not low - slack <= quantity.value <= high + slack:
            raise PydanticCustomError("range", "out of range", context)
        if quantity.spread and self.exact:
            raise PydanticCustomError("exact", "± on a limit", context)
        if quantity.spread > (high - low) / 4:
            raise PydanticCustomError("wide", "± too wide", context)
        counted = units.COUNTED.get(quantity.unit)
        if counted and quantity.value != int(quantity.value):
            why = f"{counted} are counted in whole numbers"
            raise PydanticCustomError("quantity", "no quantity", {"why": why})
        return quantity

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {
            "type": "string",
            "pattern": self._pattern(),
            "examples": [self.example],
            "x-range": self.range_in(parse(self.kind, self.low).unit),
            **({"x-usual": self.usual_in(parse(self.kind, self.low).unit)} if self.usual else {}),
        }

    def _pattern(self) -> str:
        """Return the pattern that an editor can check while the value is typed."""
        plain = (units.spell(s) for s in self.kind.spellings)
        escaped = (s.replace("*", r"\*").replace("^", r"\^") for s in plain)
        unit = "|".join(sorted(escaped, key=len, reverse=True))
        number = r"[+-]?(\d+[ -]\d+/\d+|\d+/\d+|\d*\.?\d+)"
        spread = rf"( ?(±|\+/-|\+-) ?{number} ?({unit}|%)?)?"
        tail = "".join(f"|{t}" for t in self.tails)[1:]
        needed = "" if "at the wheels" in self.tails else "?"
        return rf"^{number}( ?(±|\+/-|\+-) ?{number})? ?({unit}){spread}" + (
            f"( ({tail})){needed}$" if tail else "$"
        )


def limits_of(field: FieldInfo) -> In | None:
    """Return the bounds of a key, or None where it holds no quantity.

    Args:
        field: Its declaration.

    Returns:
        Its kind and bounds.
    """
    inner = [m for a in get_args(field.annotation) for m in getattr(a, "__metadata__", ())]
    return next((m for m in (*field.metadata, *inner) if isinstance(m, In)), None)


def need(meaning: str, **more: Any) -> Any:
    """Declare a key that must be written.

    Args:
        meaning: What it means, in a sentence [text].
        **more: Further arguments of ``pydantic.Field``.

    Returns:
        The field.
    """
    return Field(description=meaning, **more)


def default(text: str, meaning: str, **more: Any) -> Any:
    """Declare a key that may be left out; its default goes through the same parser.

    Args:
        text: The default as a file would write it [text].
        meaning: What the key means, in a sentence [text].
        **more: Further arguments of ``pydantic.Field``.

    Returns:
        The field.
    """
    return Field(default=text, description=meaning, json_schema_extra={"x-default": text}, **more)


def optional(meaning: str, left_out: str) -> Any:
    """Declare a key that may be left out; what stands in for it is computed, or left undone.

    Args:
        meaning: What the key means, in a sentence [text].
        left_out: What leaving it out means, in words [text].

    Returns:
        The field.
    """
    return Field(default=None, description=meaning, json_schema_extra={"x-default": left_out})


def named(meaning: str, most: int = 20) -> Any:
    """Declare tables with names or numbers; none need be written.

    Args:
        meaning: What they are, in a sentence [text].
        most: How many there may be [-].

    Returns:
        The field.
    """
    return Field(default_factory=dict, description=meaning, max_length=most)


def pair(table: BaseModel, one: str, other: str, needed: bool) -> None:
    """Refuse both keys of a pair, and neither where one is needed.

    Args:
        table: The table that holds them.
        one: The first key [text].
        other: Its opposite [text].
        needed: Whether one of them must be written.

    Raises:
        PydanticCustomError: "both" or "neither", with the keys.
    """
    written = [key for key in (one, other) if getattr(table, key) is not None]
    if len(written) == 2:
        raise PydanticCustomError("both", "both", {"keys": [one, other]})
    if needed and not written:
        raise PydanticCustomError("neither", "neither", {"keys": [one, other]})


def signed(table: BaseModel, plus: str, minus: str) -> float:
    """Return the value of a pair of keys.

    Args:
        table: The table that holds them.
        plus: Key of positive values [text].
        minus: Key of negative ones [text].

    Returns:
        The signed value [SI unit]; 0 where neither is written.
    """
    for key, sign in ((plus, 1.0), (minus, -1.0)):
        quantity = getattr(table, key, None)
        if quantity is not None:
            return float(sign * quantity.value)
    return 0.0


class Part(BaseModel):
    """A table of the scene: unknown keys refused, types never bent, nothing changed later."""

    model_config = ConfigDict(
        strict=True, extra="forbid", frozen=True, validate_default=True, populate_by_name=False
    )


Along = Annotated[Quantity, In(units.LENGTH, "0 mm", "20 m", "1745 ± 3 mm")]
Side = Annotated[Quantity, In(units.LENGTH, "0 mm", "1500 mm", "20 ± 2 mm")]
Upright = Annotated[Quantity, In(units.LENGTH, "0 mm", "3 m", "568 ± 2 mm")]
Slope = Annotated[
    Quantity, In(units.ANGLE, "-30 deg", "30 deg", "3.0 ± 0.25 deg", tails=("to level",))
]
Plan = Annotated[Quantity, In(units.ANGLE, "-15 deg", "15 deg", "0 ± 0.3 deg")]
WindUp = Annotated[
    Quantity, In(units.WIND_UP, "20 N m/deg", "100000 N m/deg", "819 N m/deg ± 40 %")
]


class SidePoint(Part):
    """A point in side view."""

    aft: Along | None = optional("Distance behind the datum.", "forward is written")
    forward: Along | None = optional("Distance ahead of the datum, instead of aft.", "aft")
    up: Upright | None = optional("Height above the datum.", "down is written")
    down: Upright | None = optional("Depth below the datum, instead of up.", "up")

    @model_validator(mode="after")
    def _placed(self) -> SidePoint:
        pair(self, "aft", "forward", needed=True)
        pair(self, "up", "down", needed=True)
        return self

    @property
    def position(self) -> tuple[float, float, float]:
        """Aft, right, up [m]."""
        return (
            signed(self, "aft", "forward"),
            signed(self, "right", "left"),
            signed(self, "up", "down"),
        )


class Point(SidePoint):
    """A point; on the middle of the frame where neither right nor left is written."""

    right: Side | None = optional("Distance to the right of the middle.", "on the middle")
    left: Side | None = optional("Distance to the left, instead of right.", "on the middle")

    @model_validator(mode="after")
    def _one_side(self) -> Point:
        pair(self, "right", "left", needed=False)
        return self
