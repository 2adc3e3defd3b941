"""The keys of tables: what each means, what it may be, what stands in where it is left out.

Every key says by itself what is wrong with a value, in words that follow its place in the scene.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, Protocol, Self, TypeVar, get_args, overload

from sim.display import DisplayName
from sim.scene.allowed import In, SlipError
from sim.scene.quantity import Quantity
from sim.scene.text import Path
from sim.scene.values import OPPOSITES
from sim.scene.words import one_of, quote

NAME = r"^[A-Za-z0-9][A-Za-z0-9 .,()_+-]{0,39}$"
NUMBER = r"^[1-9]$"

T = TypeVar("T")
Node = dict[str, Any]
Problem = tuple[Path, str]


@dataclass(slots=True)
class Faults:
    """What is wrong with the tables of one configuration, as it is found."""

    # path of the line to mend, words behind a place, and the path that names the place
    said: list[tuple[Path, str, Path]] = field(default_factory=list)
    # path of a table, and the key, or the pair of keys, that it lacks
    missing: list[tuple[Path, tuple[str, ...]]] = field(default_factory=list)
    # path of a key that is none, and the keys that its table has
    unknown: list[tuple[Path, Mapping[str, Key[Any]]]] = field(default_factory=list)

    def say(self, path: Path, words: str, of: Path | None = None) -> None:
        """Note what is wrong with the value at a path."""
        self.said.append((path, words, path if of is None else of))

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.said) + len(self.missing) + len(self.unknown)


class Read(Protocol):
    """A table as it was read."""

    values: Mapping[str, Any]


class Key(Generic[T]):
    """A key of a table.

    Attributes:
        meaning: What it means, in a sentence.
        needed: Whether it must be written.
        left_out: What leaving it out means, in words.
        word: As it is written.
        others: What people write for it, to be told how it is written.
    """

    word = ""
    others: tuple[str, ...] = ()

    def __init__(self, meaning: str, *, needed: bool = False, left_out: str = "") -> None:
        self.meaning, self.needed, self.left_out = meaning, needed, left_out

    def also(self, words: str) -> Self:
        """Return itself, with other words that people write for it, spaces between."""
        self.others = tuple(words.split())
        return self

    @property
    def means(self) -> str:
        """What it means, in a clause."""
        return self.meaning.split(";")[0].rstrip(".")

    def __set_name__(self, owner: type, name: str) -> None:
        self._name, self.word = name, name.rstrip("_")

    @overload
    def __get__(self, table: None, owner: type) -> Self: ...
    @overload
    def __get__(self, table: Read, owner: type) -> T: ...
    def __get__(self, table: Read | None, owner: type) -> Self | T:
        """Return the key of a class, and of a table what was read there."""
        return self if table is None else table.values[self.word]

    def read(self, written: object, path: Path, faults: Faults) -> Any:
        """Return what is written, or note what is wrong with it."""
        raise NotImplementedError

    def stands_in(self) -> Any:
        """Return what stands in where the key is left out."""
        return None

    def example(self, display: DisplayName) -> str:
        """Return how it may be written, or ""."""
        return ""

    def tables(self) -> tuple[type[Any], ...]:
        """Return the tables that may stand there."""
        return ()

    def node(self) -> Node:
        """Return its JSON Schema."""
        raise NotImplementedError

    def described(self, *more: str) -> Node:
        """Return its meaning as JSON Schema shows it in an editor."""
        left_out = f"Left out: {self.left_out}." if self.left_out else ""
        return {"description": " ".join(filter(None, (self.meaning, *more, left_out)))}


class QuantityKey(Key[T]):
    """A quantity in a range; a default goes through the same parser."""

    def __init__(self, limits: In, meaning: str, *, default: str = "", **more: Any) -> None:
        super().__init__(meaning, **more)
        self.limits, self._default = limits, limits.read(default) if default else None

    def read(self, written: object, path: Path, faults: Faults) -> Quantity | None:
        """Return the quantity."""
        try:
            return self.limits.read(written)
        except SlipError as slip:
            faults.say(path, f"{slip}{_hint(path[-1], slip)}")
            return None

    def stands_in(self) -> Quantity | None:
        """Return the default."""
        return self._default

    def example(self, display: DisplayName) -> str:
        """Return how it may be written."""
        return f'{self.word} = "{self.limits.in_display(self.limits.example, display)}"'

    def node(self) -> Node:
        """Return its JSON Schema: a pattern that an editor can check while it is typed."""
        usual = f"Usual: {self.limits.usual_in()}." if self.limits.usual else ""
        words = (f"{self.limits.range_in()}.", usual, f'As in "{self.limits.example}".')
        return {"type": "string", "pattern": self.limits.pattern()} | self.described(*words)


def _hint(key: str, slip: SlipError) -> str:
    """Return what a minus may have meant."""
    if slip.below is None:
        return ""
    if key in ("bump", "droop", "parked_low"):
        return "; it is a distance from ride height, leave out the minus"
    return (
        f'; for the other side write {OPPOSITES[key]} = "{slip.below}"' if key in OPPOSITES else ""
    )


class ChoiceKey(Key[T]):
    """One word out of a few."""

    def __init__(self, choices: tuple[str, ...], meaning: str, *, default: str | None, **more: Any):
        super().__init__(meaning, **more)
        self.choices, self._default = choices, default

    def read(self, written: object, path: Path, faults: Faults) -> object:
        """Return the word."""
        if written not in self.choices:
            faults.say(path, f" is {quote(written)}; {one_of(str(written), self.choices)}")
        return written

    def stands_in(self) -> str | None:
        """Return the default."""
        return self._default

    def node(self) -> Node:
        """Return its JSON Schema."""
        return {"enum": list(self.choices)} | self.described()


class FlagKey(ChoiceKey[bool]):
    """Whether something is so: ``true`` or ``false``, the only value that is not in quotes."""

    def __init__(self, meaning: str, *, left_out: str) -> None:
        super().__init__(("true", "false"), meaning, default=None, left_out=left_out)

    def read(self, written: object, path: Path, faults: Faults) -> object:
        """Return whether it is so."""
        if not isinstance(written, bool):
            allowed = "true or false belongs here, without quotes"
            faults.say(path, f" is {quote(written)}; {allowed}")
        return written

    def stands_in(self) -> bool:  # type: ignore[override]
        """Return that it is not so."""
        return False

    def node(self) -> Node:
        """Return its JSON Schema."""
        return {"type": "boolean"} | self.described()


class TextKey(Key[T]):
    """A text, of a pattern where one is given."""

    def __init__(
        self, meaning: str, *, pattern: str = "", rule: str = "", default: str = "", **more: Any
    ) -> None:
        super().__init__(meaning, **{"left_out": default, **more})
        self.pattern, self.rule, self._default = pattern, rule, default or None

    def read(self, written: object, path: Path, faults: Faults) -> object:
        """Return the text."""
        if not isinstance(written, str):
            faults.say(path, f" is {quote(written)}; text in quotes belongs here")
        elif not re.search(self.pattern, written):
            faults.say(path, f" is {quote(written)}; {self.rule}")
        return written

    def stands_in(self) -> str | None:
        """Return the default."""
        return self._default

    def node(self) -> Node:
        """Return its JSON Schema."""
        pattern = {"pattern": self.pattern} if self.pattern else {}
        return {"type": "string"} | pattern | self.described()


class SizesKey(Key[tuple[float, ...]]):
    """Sizes with commas between, the unit behind the last one: "1, 2, 3 mm"."""

    def __init__(self, limits: In, meaning: str, example: str, **more: Any) -> None:
        super().__init__(meaning, **more)
        self.limits, self._example = limits, example

    def read(self, written: object, path: Path, faults: Faults) -> tuple[float, ...]:
        """Return the sizes [SI unit], the smallest first."""
        if not isinstance(written, str) or not written.strip():
            faults.say(path, f' is {quote(written)}; sizes belong here, as in "{self._example}"')
            return ()
        unit = re.sub(r"^[\d ./+-]*", "", written.rsplit(",", 1)[-1].strip())
        sizes = (one.strip() for one in written.split(","))
        try:
            read = [
                self.limits.read(one if re.search(r"[a-z]$", one) else f"{one} {unit}")
                for one in sizes
            ]
        except SlipError as slip:
            faults.say(path, str(slip))
            return ()
        return tuple(sorted({size.value for size in read}))

    def stands_in(self) -> tuple[float, ...]:
        """Return none."""
        return ()

    def example(self, display: DisplayName) -> str:
        """Return how they may be written."""
        shown = '"1/16, 1/8 in"' if display == "inch" else f'"{self._example}"'
        return f"{self.word} = {shown}"

    def node(self) -> Node:
        """Return its JSON Schema."""
        words = (f"Each {self.limits.range_in()}.", f'As in "{self._example}".')
        return {"type": "string"} | self.described(*words)


def need(limits: In, meaning: str) -> QuantityKey[Quantity]:
    """Declare a quantity that must be written."""
    return QuantityKey(limits, meaning, needed=True)


def default(text: str, limits: In, meaning: str) -> QuantityKey[Quantity]:
    """Declare a quantity with a default, as a scene would write it."""
    return QuantityKey(limits, meaning, default=text, left_out=text)


def optional(limits: In, meaning: str, left_out: str) -> QuantityKey[Quantity | None]:
    """Declare a quantity that may be left out; what stands in is computed, or left undone."""
    return QuantityKey(limits, meaning, left_out=left_out)


def choice(of: Any, meaning: str, default: str | None = None, left_out: str = "") -> ChoiceKey[Any]:
    """Declare a choice out of a ``Literal``; without default or ``left_out`` it is needed."""
    needed = default is None and not left_out
    return ChoiceKey(
        get_args(of), meaning, default=default, needed=needed, left_out=left_out or default or ""
    )
