"""Layers: the shared part of a scene, and configurations laid over it, with where each line is.

Laying over goes key by key, however deep.  Writing one word of a pair takes out the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from sim.scene.header import OWN
from sim.scene.text import Path, Tables
from sim.scene.values import OPPOSITES
from sim.scene.words import part_name


@dataclass(frozen=True, slots=True)
class Merged:
    """Layers laid over each other."""

    tables: Tables = field(default_factory=dict)  # the result
    origin: dict[Path, Path] = field(default_factory=dict)  # paths in the file

    def home(self, path: Path) -> Path:
        """Return where in the file a path was written, or the nearest table around it."""
        while path and path not in self.origin:
            path = path[:-1]
        return self.origin.get(path, ())

    def at(self, path: Path) -> object:
        """Return what is written at a path, or None."""
        here: object = self.tables
        for step in path:
            here = here.get(step) if isinstance(here, dict) else None
        return here

    def _lay(self, onto: Tables, new: Tables, path: Path, home: Path) -> None:
        """Lay a table over another, key by key."""
        for key, value in new.items():
            opposite = OPPOSITES.get(key)
            if opposite in onto and opposite not in new and path != ("travel",):
                self._take_out(onto, (*path, opposite))
            here, there = (*path, key), (*home, key)
            self.origin[here] = there
            if isinstance(value, dict):
                if not isinstance(onto.get(key), dict):
                    onto[key] = {}
                self._lay(onto[key], value, here, there)
            else:
                onto[key] = value

    def _take_out(self, table: Tables, path: Path) -> None:
        """Take a key out of its table."""
        del table[path[-1]]
        for gone in [p for p in self.origin if p[: len(path)] == path]:
            del self.origin[gone]

    def _forget_lengths(self) -> None:
        """Take out shaft lengths read in another configuration: its shafts are cut anew."""
        shafts = self.tables.get("shaft")
        for number, shaft in shafts.items() if isinstance(shafts, dict) else ():
            path = ("shaft", number, "length")
            elsewhere = self.origin.get(path, ())[:1] == ("configuration",)
            if elsewhere and isinstance(shaft, dict) and "length" in shaft:
                self._take_out(shaft, path)


def merge(shared: Tables, layers: Iterable[tuple[str, Tables]]) -> Merged:
    """Return configurations, the farthest first, laid over the shared part."""
    merged = Merged()
    merged._lay(merged.tables, shared, (), ())
    for name, table in layers:
        merged._forget_lengths()
        own = {key: value for key, value in table.items() if key not in OWN}
        merged._lay(merged.tables, own, (), ("configuration", name))
    return merged


def leaves(tables: Tables, path: Path = ()) -> Iterator[tuple[Path, object]]:
    """Yield every value of nested tables with its path."""
    for key, value in tables.items():
        if isinstance(value, dict):
            yield from leaves(value, (*path, key))
        else:
            yield (*path, key), value


def differences(before: Tables, after: Tables, *, alone: bool) -> Iterator[str]:
    """Say what a configuration changes, as in "bearing 1, up 521 ± 3 mm (was 531 ± 3 mm)"."""
    old, new = dict(leaves(before)), dict(leaves(after))
    for path in dict.fromkeys((*new, *old)):
        is_now, was = new.get(path), old.get(path)
        if is_now == was or (alone and was is None):
            continue
        said = part_name(path) + (" taken out" if is_now is None else f" {is_now}")
        yield said + ("" if was is None else f" (was {was})")
