"""Published guides for holes in a frame rail, as data, each with its source.

They stand in ``drilling.toml``.  The chassis maker's own book comes before all of them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from sim.errors import DomainError
from sim.judge.findings import Standing
from sim.scene.quantity import parse
from sim.units import LENGTH

EdgeFrom = Literal["hole edge", "hole center"]
EdgeTo = Literal["inside of the flange", "edge of the rail"]
Between = Literal["hole edges", "hole centers"]
MAKERS_BOOK = "The chassis maker's own book comes first."


@dataclass(frozen=True, slots=True, kw_only=True)
class Guide:
    """What one guide asks of holes in the web; None where it gives no value.

    Attributes:
        name: As a command line gives it, as in "light truck".
        scope: What it was written for.
        standing, source: What it is worth and where it is printed.
        edge: Least distance of a hole to flange or edge [m].
        edge_from, edge_to: Between what that is measured.
        pitch: Least distance between two holes [m].
        pitch_between: Between what that is measured.
        pitch_up_to: Diameter [m] above which the pitch is ``pitch_beyond`` diameters instead.
        largest: Diameter of a hole [m].
        over_bolt: How much larger than its bolt a hole may be [m].
        in_line: Most holes in one vertical line.
        keep_off: Where no hole belongs, in words.
        practice: How holes are made, in words.
        fasteners: What goes into them, in words.
        unsure: What was not read in full, and how it was taken, in words.
    """

    name: str
    scope: str
    standing: Standing
    source: str
    edge: float | None = None
    edge_from: EdgeFrom = "hole edge"
    edge_to: EdgeTo = "inside of the flange"
    pitch: float | None = None
    pitch_between: Between = "hole edges"
    pitch_up_to: float | None = None
    pitch_beyond: float | None = None
    largest: float | None = None
    over_bolt: float | None = None
    in_line: int | None = None
    keep_off: str = ""
    practice: str = ""
    fasteners: str = ""
    unsure: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """What one source says beside the guides.

    Attributes:
        name, says: What it is about, and what it asks.
        standing, source: What it is worth and where it is printed.
    """

    name: str
    says: str
    standing: Standing
    source: str


@cache
def guides() -> tuple[Guide, ...]:
    """Return the guides that come with the program, the fullest one first."""
    return tuple(_guide(name, written) for name, written in _written()["guide"].items())


@cache
def words() -> tuple[Word, ...]:
    """Return what other sources say beside the guides."""
    return tuple(Word(name=name, **written) for name, written in _written()["word"].items())


def guide_named(name: str) -> Guide:
    """Return a guide by its name.

    Raises:
        DomainError: If there is none of that name; the message lists those there are.
    """
    for guide in guides():
        if guide.name == name:
            return guide
    known = ", ".join(guide.name for guide in guides())
    raise DomainError(f'no drilling guide "{name}"; there are: {known}')


def _guide(name: str, written: Mapping[str, str]) -> Guide:
    """Return a guide from what the file says of it."""
    values: dict[str, Any] = dict(written)
    for key in ("edge", "pitch", "pitch_up_to", "largest", "over_bolt"):
        if key in written:
            values[key] = parse(LENGTH, written[key]).value
    for key, kind in (("in_line", int), ("pitch_beyond", float)):
        if key in written:
            values[key] = kind(written[key])
    return Guide(name=name, **values)


@cache
def _written() -> dict[str, Any]:
    """Return what the file says."""
    text = files("sim").joinpath("judge", "drilling.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
