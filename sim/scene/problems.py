"""The problems of one file as they are found: each said once, at the line where it was written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from sim.display import DisplayName
from sim.errors import Problem, SceneError
from sim.scene.changes import Change
from sim.scene.header import OWN, TOP
from sim.scene.hints import Keys, example_of, suggest
from sim.scene.keys import Faults
from sim.scene.overlay import Merged
from sim.scene.table import table_at
from sim.scene.tables.setup import Setup
from sim.scene.tables.suspension import KINDS
from sim.scene.text import Path, Tables
from sim.scene.words import part_name, quote

ALIKE = 0.85  # share of letters, from which a configuration may be another, misspelt
_NO_SPLINE = (
    "is missing; output_spline does not follow the axle: a spline behind the bearing is needed, "
    'as in at = "midship"'
)


class Problems:
    """What is wrong, and what is doubtful.

    Args:
        file: Name of the file, for messages.
        lines: Line of every path in the file.
        root: All tables of the file.
        tried: Changes that were written over the file, by their path in it.
    """

    def __init__(
        self,
        file: str,
        lines: Mapping[Path, int],
        root: Tables,
        tried: Mapping[Path, Change] | None = None,
    ) -> None:
        self._file, self._lines, self._root, self._tried = file, lines, root, tried or {}
        self.display: DisplayName = "inch" if root.get("display") == "inch" else "metric"
        self._found: list[Problem] = []
        self._doubts: list[Problem] = []
        self._said: set[Path] = set()
        self._missing: dict[tuple[Path, tuple[str, ...]], list[str]] = {}
        self._meant: set[Path] = set()  # keys that misspelt ones were meant to be
        self._incomplete: set[str] = set()  # configurations that were meant to start elsewhere

    def line(self, path: Path) -> int:
        """Return the line of a path in the file, or of the nearest table around it; else 0."""
        while path and path not in self._lines:
            path = path[:-1]
        return self._lines.get(path, 0)

    def add(self, path: Path, said: str) -> None:
        """Add a problem at its path in the file."""
        self._found.append(self._problem(path, said))

    def _problem(self, path: Path, said: str) -> Problem:
        """Return a problem at its line; where changes are tried on a sound file, they made it."""
        near = [c for p, c in self._tried.items() if p[: len(path)] == path or path[: len(p)] == p]
        to_blame = dict.fromkeys(c.label for c in near or self._tried.values())
        if not to_blame:
            return Problem(self.line(path), said)
        return Problem(0, f"{', '.join(to_blame)}: {said}")

    def faults(self, name: str, faults: Faults, merged: Merged, *, partial: bool) -> None:
        """Add what is wrong with the tables of one configuration, "" for the shared part alone."""
        for path, said, of in faults.said:
            self.add(merged.home(path), _place(of, merged, path) + said)
        for path, here in faults.unknown:
            self._unknown(name, path, here, merged)
        for table, keys in faults.missing:
            self._miss(name, table, keys, partial)

    def _unknown(self, name: str, path: Path, here: Keys, merged: Merged) -> None:
        """Add a key that is none, with what may have been meant."""
        home = merged.home(path)
        if len(path) == 1:  # a table of its own, or a key beside the tables
            here = {**here, **(OWN if home[:1] == ("configuration",) else TOP)}
        meant, hint = suggest(path[-1], here)
        self._meant |= {(*path[:-1], key) for key in meant}
        if {"like", "same_shafts_as"} & set(meant):
            self._incomplete.add(name)
        self.add(home, f"{_place(path, merged)} is not a known key; {hint}")

    def _miss(self, name: str, table: Path, keys: tuple[str, ...], partial: bool) -> None:
        """Note a key, or a pair of keys, that is missing in one configuration."""
        if not partial:
            self._missing.setdefault((table, keys), []).append(name)

    def say_missing(self, named: Mapping[str, Tables]) -> None:
        """Add what is missing: once where it is missing everywhere."""
        for (table, keys), where in self._missing.items():
            names = [name for name in where if name not in self._incomplete]
            if not names or any((*table, key) in self._meant for key in keys):
                continue
            said = self._missing_words(table, keys)
            if len(set(names)) == len(named):
                self.add(table, said)
                continue
            for name in dict.fromkeys(names):
                like = named[name].get("like") or named[name].get("same_shafts_as")
                near = get_close_matches(name, [n for n in named if n not in names], 1, ALIKE)
                if keys == ("shaft",) and near:  # its parts belong to another: nothing else helps
                    self._incomplete.add(name)
                    hint = f"has no shafts; did you mean {quote(near[0])}?"
                    self.add(("configuration", name), f'configuration "{name}" {hint}')
                elif like not in names:
                    self.add(("configuration", name), f'configuration "{name}", {said}')

    def _missing_words(self, table: Path, keys: tuple[str, ...]) -> str:
        """Say that a key is missing, what it means and how it is written."""
        if keys == ("spline",) and any(path[-1:] == ("output_spline",) for path in self._lines):
            return f"spline {_NO_SPLINE}"
        if keys == ("kind",):
            return f"{part_name((*table, 'kind'))} is missing; allowed: {', '.join(KINDS)}"
        what, example = example_of(table, keys[0], self._root, self.display)
        shown = f", as in {example}" if example else ""
        if len(keys) == 1:
            shown = shown or self._first_key((*table, keys[0]))
            return f"{part_name((*table, keys[0]))} is missing; {what}{shown}"
        neither = " nor ".join(keys)
        return f"{part_name(table)}: neither {neither} is written; one of them is needed{shown}"

    def _first_key(self, table: Path) -> str:
        """Say how a table begins, "" for what is none."""
        inner = table_at(Setup, table, self._root)
        found = inner.declared() if inner else {}
        key = next((word for word, key in found.items() if key.example(self.display)), "")
        said = f"; write [{'.'.join(table)}], and below it its keys, as in "
        return said + example_of(table, key, self._root, self.display)[1] if key else ""

    def once(self, path: Path, said: str, merged: Merged) -> None:
        """Add a contradiction, unless the line that it comes from was named already."""
        home = merged.home(path)
        if home not in self._said or not home:
            self._said.add(home)
            self.add(home, _place(path, merged) + said)

    def doubt(
        self, path: Path, said: str, merged: Merged | None = None, whose: Sequence[str] = ()
    ) -> None:
        """Add a doubt, unless its line was doubted already or is replaced by what is tried.

        A shared line that only some configurations cast a doubt on says which.
        """
        home = merged.home(path) if merged else path
        replaced = merged is None and path in [change[2:] for change in self._tried]
        if home not in self._said and not replaced:
            self._said.add(home)
            where = _place(path, merged) if merged else ""
            if home[:1] != ("configuration",) and whose:
                where = f"with configuration {' and '.join(map(quote, whose))}, {where}"
            self._doubts.append(Problem(self.line(home), f"doubtful: {where}{said}"))

    def doubts(self) -> tuple[str, ...]:
        """Return the doubts, one line each, in the order of lines."""
        in_order = sorted(dict.fromkeys(self._doubts), key=lambda p: p.line)
        return tuple(problem.say(self._file) for problem in in_order)

    def stop(self) -> None:
        """Raise every problem found, if there is one, in one SceneError."""
        if self._found:
            raise SceneError(self._file, self._found)


def _place(path: Path, merged: Merged, line: Path | None = None) -> str:
    """Return where a path is, in words, with the configuration in which its line stands."""
    home = merged.home(path if line is None else line)
    inside = f'configuration "{home[1]}", ' if home[:1] == ("configuration",) else ""
    return inside + part_name(path)
