"""The tubes to choose from: a stock list in the manner of a scene, with every problem at once."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from importlib.resources import files
from pathlib import Path as FilePath

from sim.errors import Problem, SceneError
from sim.scene.keys import NAME, Faults, TextKey
from sim.scene.materials import MATERIALS
from sim.scene.parts import Tube
from sim.scene.tables.shaft import TubeKeys
from sim.scene.text import Path, Tables, decode, read_file, statements
from sim.scene.words import NAME_RULE, one_of, quote

FORMAT = "halfturn stock 1"
MOST_TUBES = 100
BUILT_IN = "stock.toml"


class StockTubeKeys(TubeKeys):
    """A tube of a stock list."""

    source: TextKey[str] = TextKey("Where the size is from.", needed=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockTube:
    """A tube of a stock list.

    Attributes:
        name: Its name in the list.
        tube: Its size, its material and, where a certificate says so, its yield stress.
        source: Where the size is from [text].
    """

    name: str
    tube: Tube
    source: str

    @property
    def weight(self) -> float:
        """Mass per length [kg/m]."""
        area = math.pi / 4 * (self.tube.outside**2 - self.tube.inside**2)
        return area * MATERIALS[self.tube.material].density


def read_stock(path: FilePath | None = None) -> tuple[StockTube, ...]:
    """Return the tubes of a stock list, the lightest first.

    Args:
        path: The list; left out, the one that comes with the program.

    Returns:
        The tubes.

    Raises:
        SceneError: With every problem found, if there is one.
    """
    if path is None:
        raw, name = files("sim").joinpath("explore", BUILT_IN).read_bytes(), BUILT_IN
    else:
        raw, name = read_file(path), path.name
    return _Reading(*statements(decode(raw, name), name), name).tubes


class _Reading:
    """One pass over a stock list."""

    def __init__(self, tables: Tables, lines: dict[Path, int], file: str) -> None:
        self.tables, self.lines, self.file = tables, lines, file

    @cached_property
    def tubes(self) -> tuple[StockTube, ...]:
        """The tubes, the lightest first; raises if anything is wrong."""
        problems = list(self._top())
        found: list[StockTube] = []
        faults = Faults()
        rows = self.tables.get("tube")
        for name, row in rows.items() if isinstance(rows, dict) else ():
            read = StockTubeKeys.read(row, ("tube", name), faults)
            if read is not None:
                found.append(_tube(name, read))
        problems += self._said(faults)
        if problems:
            raise SceneError(self.file, problems)
        return tuple(sorted(found, key=lambda one: (one.weight, one.name)))

    def _top(self) -> Iterator[Problem]:
        """Yield what is wrong at the top, and with names."""
        written = self.tables.get("format")
        if written != FORMAT:
            said = "no format" if written is None else f"format is {quote(written)}"
            yield self._problem(("format",), f'{said}; write format = "{FORMAT}" at the top')
        for key in self.tables:
            if key not in ("format", "tube"):
                yield self._problem((key,), f"{key} is not known here; {one_of(key, ('tube',))}")
        rows = self.tables.get("tube")
        if not isinstance(rows, dict) or not rows:
            yield self._problem(("tube",), 'no tube: name at least one, as in [tube."3 in"]')
        elif len(rows) > MOST_TUBES:
            yield self._problem(("tube",), f"{len(rows)} tubes; at most {MOST_TUBES}")
        else:
            yield from (
                self._problem(("tube", name), f"tube {quote(name)}: {NAME_RULE}")
                for name in rows
                if not re.fullmatch(NAME, name)
            )

    def _said(self, faults: Faults) -> Iterator[Problem]:
        """Yield what is wrong with single tubes."""
        for path, words, of in faults.said:
            yield self._problem(path, _place(of) + words)
        for path, here in faults.unknown:
            allowed = one_of(path[-1], list(here))
            yield self._problem(path, f"{_place(path)} is not a known key; {allowed}")
        for path, keys in faults.missing:
            yield self._problem(path, f"{_place(path)}: {' or '.join(keys)} is missing")

    def _problem(self, path: Path, said: str) -> Problem:
        """Return a problem at the line of a path, or of the nearest table around it."""
        while path and path not in self.lines:
            path = path[:-1]
        return Problem(self.lines.get(path, 0), said)


def _place(path: Path) -> str:
    """Return where a path is, in words, as in 'tube "3 in", wall'."""
    rest = ".".join(path[2:])
    return f"tube {quote(path[1])}" + (f", {rest}" if rest else "")


def _tube(name: str, read: StockTubeKeys) -> StockTube:
    """Return a tube as it was read."""
    stress = read.yield_stress
    tube = Tube(
        outside=read.outside.value,
        wall=read.wall.value,
        material=read.material,
        yield_stress=None if stress is None else stress.value,
    )
    return StockTube(name=name, tube=tube, source=read.source)
