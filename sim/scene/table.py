"""Tables of a scene: what was read by their keys, and keys that hold tables.

A table is a class; its keys are descriptors: ``shaft.tube.wall`` is what was read, a ``Quantity``.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator, Mapping
from typing import Any, ClassVar, Self, TypeVar

from sim.scene.allowed import In
from sim.scene.keys import NAME, NUMBER, Faults, Key, Node, Problem, QuantityKey
from sim.scene.text import Path, Tables
from sim.scene.values import OPPOSITES, PAIRS
from sim.scene.words import NAME_RULE, one_of, quote

T = TypeVar("T")
Pair = tuple[str, str, bool]  # two keys, and whether one of them must be written


class Table:
    """A table as it was read.

    Attributes:
        values: What was read, or stands in, by key.
        written: The keys that were written.
        NEEDS: First words of opposites, as in aft and forward, of which one must be written.
    """

    NEEDS: ClassVar[tuple[str, ...]] = ()

    def __init__(self, values: Mapping[str, Any], written: frozenset[str]) -> None:
        self.values, self.written = values, written

    @classmethod
    @functools.cache
    def declared(cls) -> dict[str, Key[Any]]:
        """Return the keys by their words, those of a base first."""
        classes = reversed(cls.__mro__)
        found = (key for part in classes for key in vars(part).values() if isinstance(key, Key))
        return {key.word: key for key in found}

    @classmethod
    def read(cls, written: object, path: Path, faults: Faults) -> Self | None:
        """Return the table at a path, or None if anything in it is wrong, which is noted."""
        keys, before = cls.declared(), faults.count
        if not isinstance(written, dict):
            faults.say(path, not_a_table(written, path, next(iter(keys))))
            return None
        faults.unknown += [((*path, word), keys) for word in written if word not in keys]
        values = {}
        for word, key in keys.items():
            if word in written:
                values[word] = key.read(written[word], (*path, word), faults)
            elif key.needed:
                faults.missing.append((path, (word,)))
            else:
                values[word] = key.stands_in()
        if faults.count > before:
            return None
        table = cls(values, frozenset(written))
        table._check(path, faults)
        return table if faults.count == before else None

    def _check(self, path: Path, faults: Faults) -> None:
        for one, other, needed in self.pairs():
            there = [key for key in (one, other) if self.values[key] is not None]
            if len(there) == 2:
                faults.say((*path, one), f" has both {one} and {other}; keep one", path)
            elif needed and not there:
                faults.missing.append((path, (one, other)))
        for below, words in self.check():
            faults.say((*path, *below), words)

    def pairs(self) -> tuple[Pair, ...]:
        """Return the keys of which at most one is written: opposites not both of them needed."""
        keys = self.declared()
        there = (pair for pair in PAIRS if {*pair} <= keys.keys() and not keys[pair[0]].needed)
        return tuple((one, other, one in self.NEEDS) for one, other in there)

    def check(self) -> Iterator[Problem]:
        """Yield what is wrong between its keys: path below the table, and words."""
        yield from ()

    def signed(self, plus: str) -> float:
        """Return the value of a key, or less that of its opposite [SI unit]; 0 without both."""
        for key, sign in ((plus, 1.0), (OPPOSITES[plus], -1.0)):
            quantity = self.values.get(key)
            if quantity is not None:
                return float(sign * quantity.value)
        return 0.0


class TableKey(Key[T]):
    """A table; where it is left out, one of defaults stands in, or nothing."""

    def __init__(self, table: type[Table], meaning: str, *, empty: bool = False, **more: Any):
        super().__init__(meaning, **more)
        self.table, self._empty = table, empty

    def read(self, written: object, path: Path, faults: Faults) -> Table | None:
        """Return the table."""
        return self.table.read(written, path, faults)

    def stands_in(self) -> Table | None:
        """Return a table of defaults, or None."""
        return self.table.read({}, (), Faults()) if self._empty else None

    def tables(self) -> tuple[type[Table], ...]:
        """Return its class."""
        return (self.table,)

    def node(self) -> Node:
        """Return its JSON Schema."""
        return {"allOf": [{"$ref": f"#/$defs/{self.table.__name__}"}]} | self.described()


class KindsKey(TableKey[T]):
    """A table of one of several kinds; its key ``kind`` says which."""

    def __init__(self, kinds: Mapping[str, type[Table]], meaning: str, **more: Any) -> None:
        super().__init__(next(iter(kinds.values())), meaning, **more)
        self.kinds = kinds

    def read(self, written: object, path: Path, faults: Faults) -> Table | None:
        """Return the table of its kind."""
        kind = written.get("kind") if isinstance(written, dict) else "?"
        if kind is None:
            faults.missing.append((path, ("kind",)))
            return None
        if isinstance(written, dict) and kind not in list(self.kinds):
            allowed = one_of(str(kind), list(self.kinds))
            faults.say((*path, "kind"), f" is {quote(kind)}; {allowed}")
            return None
        return self.kinds.get(kind, self.table).read(written, path, faults)

    def tables(self) -> tuple[type[Table], ...]:
        """Return the classes of all kinds."""
        return tuple(self.kinds.values())

    def node(self) -> Node:
        """Return its JSON Schema; a lone key fits several kinds, any of them will do."""
        ways = [{"$ref": f"#/$defs/{table.__name__}"} for table in self.kinds.values()]
        return {"anyOf": ways} | self.described()


class NamedKey(Key[T]):
    """Tables, or quantities, by name or by number."""

    def __init__(
        self, inner: type[Table] | In, meaning: str, *, pattern: str, most: int, **more: Any
    ) -> None:
        super().__init__(meaning, **more)
        self.pattern, self.most = pattern, most
        self.inner = (
            QuantityKey[Any](inner, "") if isinstance(inner, In) else TableKey[Any](inner, "")
        )
        self.inner.word = "hard launch"

    def read(self, written: object, path: Path, faults: Faults) -> dict[str, Any]:
        """Return the tables by their names."""
        if not isinstance(written, dict):
            faults.say(path, not_a_table(written, path, "1" if self.pattern == NUMBER else "…"))
            return {}
        if len(written) > self.most:
            faults.say(path, f": {len(written)} are written; at most {self.most}")
            return {}
        if self._nameless(written):
            faults.say(path, f' needs a name of its own, as in [{".".join(path)}."…"]')
            return {}
        if self.needed and not written:
            example = ".".join(path)
            faults.say(path, f": none is written; they are numbered from 1, as in {example}.1")
        for name in written:
            if not re.search(self.pattern, name):
                numbered = f" is no number; 1 to 9, from the front, as in {'.'.join(path)}.1"
                faults.say((*path, name), numbered if self.pattern == NUMBER else f": {NAME_RULE}")
        return {name: self.inner.read(one, (*path, name), faults) for name, one in written.items()}

    def _nameless(self, written: dict[str, Any]) -> bool:
        """Say whether keys of a table stand where its name belongs."""
        keys = {key for table in self.tables() for key in table.declared()}
        bare = [name for name, one in written.items() if not isinstance(one, dict)]
        return self.pattern == NAME and any(name in keys for name in bare)

    def stands_in(self) -> dict[str, Any]:
        """Return none of them."""
        return {}

    def tables(self) -> tuple[type[Table], ...]:
        """Return the class of each."""
        return self.inner.tables()

    def node(self) -> Node:
        """Return its JSON Schema."""
        inner = {"patternProperties": {self.pattern: self.inner.node()}}
        return {"type": "object", "additionalProperties": False} | inner | self.described()


def not_a_table(written: object, path: Path, first: str) -> str:
    """Say that a value stands where a table belongs."""
    example = f'{".".join(path)}.{first} = "…"'
    return f" is {quote(written)}; a table belongs here, as in {example}"


def named(inner: type[Table] | In, meaning: str, most: int = 20) -> NamedKey[dict[str, Any]]:
    """Declare tables or quantities by names."""
    return NamedKey(inner, meaning, pattern=NAME, most=most)


def numbered(inner: type[Table], meaning: str, needed: bool = False) -> NamedKey[dict[str, Any]]:
    """Declare tables numbered from 1."""
    return NamedKey(inner, meaning, pattern=NUMBER, most=9, needed=needed)


def table_at(root: type[Table], path: Path, tables: Tables) -> type[Table] | None:
    """Return the class of the table at a path, or None; its ``kind`` as written tells which."""
    here: Key[Any] = TableKey(root, "")
    data: Any = tables
    named = False  # whether the step is a name or a number, not a key
    for step in path:
        data = data.get(step, {}) if isinstance(data, dict) else {}
        if isinstance(here, NamedKey) and not named:
            named = True
            continue
        named = False
        inner = {word: key for table in here.tables() for word, key in table.declared().items()}
        if step not in inner:
            return None
        here = inner[step]
    kind = data.get("kind") if isinstance(data, dict) else None
    if isinstance(here, KindsKey):
        return here.kinds.get(str(kind), here.table)
    return next(iter(here.tables()), None)


def tables_in(root: type[Table]) -> list[type[Table]]:
    """Return a class of tables and every one inside it, in the order of their keys."""
    inner = (table for key in root.declared().values() for table in key.tables())
    return list(dict.fromkeys([root, *(deeper for table in inner for deeper in tables_in(table))]))
