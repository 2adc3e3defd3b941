"""What a quantity of a scene may be: a kind, a range, and what comparable vehicles have."""

from __future__ import annotations

from functools import cached_property

from sim import units
from sim.display import DisplayName
from sim.scene.quantity import Quantity, QuantityError, in_display, parse
from sim.scene.words import quote
from sim.units import Kind


class SlipError(ValueError):
    """What is wrong with a value, in words that follow its place.

    Attributes:
        below: The value without its minus where that is what is wrong, else None.
    """

    def __init__(self, words: str, below: str | None = None) -> None:
        super().__init__(words)
        self.below = below

    def __reduce__(self) -> tuple[type[SlipError], tuple[str, str | None]]:
        return type(self), (str(self), self.below)


class In:
    """A quantity of one kind in a range.

    Args:
        kind: Its kind.
        allowed: The range as "0.5 to 50 mm" [text].
        example: As a scene would write it [text].
        usual: What comparable vehicles have, like ``allowed``; common practice, no source [text].
        tails: What may stand behind it, as in "to level".
        exact: Whether a ± makes no sense.
        apart: The range of values in one of ``Kind.apart``.
    """

    def __init__(
        self,
        kind: Kind,
        allowed: str,
        example: str,
        usual: str = "",
        *,
        tails: tuple[str, ...] = (),
        exact: bool = False,
        apart: tuple[float, float] = (0.0, 0.0),
    ) -> None:
        self.kind, self.allowed, self.example, self.usual = kind, allowed, example, usual
        self.tails, self.exact, self.apart = tails, exact, apart

    @cached_property
    def _unit(self) -> str:
        return self.allowed.split(" ", 3)[3].lower()

    def _ends(self, span: str) -> tuple[float, float]:
        low, _, high, unit = span.split(" ", 3)
        return parse(self.kind, f"{low} {unit}").value, parse(self.kind, f"{high} {unit}").value

    @cached_property
    def bounds(self) -> tuple[float, float]:
        """Lowest and highest value [SI unit of the kind]."""
        return self._ends(self.allowed)

    @cached_property
    def usual_bounds(self) -> tuple[float, float]:
        """Lowest and highest usual value [SI unit of the kind]; all where nothing is said."""
        return self._ends(self.usual) if self.usual else (-float("inf"), float("inf"))

    def bounds_of(self, unit: str) -> tuple[float, float]:
        """Return the bounds that hold for a value written in a unit."""
        return self.apart if unit in self.kind.apart else self.bounds

    def range_in(self, unit: str = "") -> str:
        """Return the allowed range in a unit, as "0.5 to 50 mm"."""
        return self._said(self.bounds_of(unit), unit or self._unit)

    def usual_in(self, unit: str = "") -> str:
        """Return what comparable vehicles have, in a unit; "" where nothing is said."""
        return self._said(self.usual_bounds, unit or self._unit) if self.usual else ""

    def is_usual(self, quantity: Quantity) -> bool:
        """Say whether comparable vehicles have such a value."""
        low, high = self.usual_bounds
        return quantity.unit in self.kind.apart or low <= quantity.value <= high

    def _said(self, bounds: tuple[float, float], unit: str) -> str:
        low, high = (units.say(self.kind, bound, unit) for bound in bounds)
        if self.kind is units.RATIO:
            return f"{low}:1 to {high}:1"
        return f"{low} to {high} {units.spell(unit)}"

    def in_display(self, text: str, display: DisplayName) -> str:
        """Return a quantity of ours, a default or an example, in the units of a reader."""
        return in_display(self.kind, text, display, self.tails)

    def read(self, written: object) -> Quantity:
        """Return the quantity that a scene holds.

        Raises:
            SlipError: If it is none, or out of range.
        """
        if not isinstance(written, str):
            raise SlipError(self._no_text(written))
        try:
            quantity = parse(self.kind, written, self.tails)
        except QuantityError as error:
            raise SlipError(f" is {quote(written)}: {error}") from None
        said, (low, high) = f" is {quantity.text}", self.bounds_of(quantity.unit)
        slack = 1e-9 * (high - low)
        if not low - slack <= quantity.value <= high + slack:
            bare = quantity.text.strip().lstrip("-−") if quantity.value < 0 else None
            words = f"{said}; allowed: {self.range_in(quantity.unit)}"
            raise SlipError(f"{words}{self._meant(quantity)}", bare)
        if quantity.spread and self.exact:
            raise SlipError(f"{said}: a limit is exact, leave out ±")
        if quantity.spread > (high - low) / 4:
            most = units.say(self.kind, (high - low) / 4, quantity.unit)
            raise SlipError(f"{said}; ± at most {most} {units.spell(quantity.unit)}")
        counted = units.COUNTED.get(quantity.unit)
        if counted and quantity.value != int(quantity.value):
            raise SlipError(f" is {quote(written)}: {counted} are counted in whole numbers")
        return quantity

    def _no_text(self, bare: object) -> str:
        written = quote(bare)
        if not isinstance(bare, int | float) or isinstance(bare, bool) or not abs(bare) < 1e9:
            return f' is {written}; {self.kind.name} belongs here, as in "{self.example}"'
        ways = dict.fromkeys(f'"{written} {unit}"' for unit in (self.kind.metric, self.kind.inch))
        return f" is {written}; say the unit, in quotes: {' or '.join(ways)}"

    def _meant(self, quantity: Quantity) -> str:
        """Return how a value may have come out of its range."""
        if self.kind is units.ANGLE:
            degrees = quantity.value / units.factor(units.ANGLE, "deg")
            if 330 <= degrees <= 360:
                return f" (a protractor that shows {quantity.text} means {degrees - 360:g} deg)"
            face = 60 <= degrees <= 120
            square = f"{abs(90 - degrees):g} deg from square"
            return f" (read on an upright face? then it is {square})" if face else ""
        other = {"mm": "in", "in": "mm"}.get(quantity.unit)
        if other is None or quantity.value <= 0:
            return ""
        scale = units.factor(units.LENGTH, other) / units.factor(units.LENGTH, quantity.unit)
        low, high = self.bounds
        return f"; is it {other}?" if low <= quantity.value * scale <= high else ""

    def pattern(self) -> str:
        """Return the pattern that an editor can check while the value is typed."""
        plain = (units.spell(s) for s in self.kind.spellings)
        escaped = (s.replace("*", r"\*").replace("^", r"\^") for s in plain)
        unit = "|".join(sorted(escaped, key=len, reverse=True))
        number = r"[+-]?(\d+[ -]\d+/\d+|\d+/\d+|\d*\.?\d+)"
        spread = rf"( ?(±|\+/-|\+-) ?{number} ?({unit}|%)?)?"
        needed = "" if "at the wheels" in self.tails else "?"
        tail = f"( ({'|'.join(self.tails)})){needed}" if self.tails else ""
        return rf"^{number}( ?(±|\+/-|\+-) ?{number})? ?({unit}){spread}{tail}$"
