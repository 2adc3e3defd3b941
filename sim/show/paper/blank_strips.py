"""The strips of the measuring sheet: what is read at each station, in the order of the walk."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sim.scene.keys import ChoiceKey
from sim.scene.questions import NAMED, Question, key_of, question_of
from sim.scene.stations import Station
from sim.scene.text import Path
from sim.scene.walk import walk
from sim.show.paper.blank_sketches import SKETCHES, Sketch

LINES_ONLY = ("joint N", "frame", "left hole NAME", "right hole NAME")  # rarely read
# As many parts as the sheet has strips for; what is named by the person is NAME.
PARTS: dict[Path, str] = {
    ("pieces",): "2",
    ("slopes",): "level",
    ("more", "rails"): "yes",
    ("more", "right rail"): "yes",
    ("more", "brace"): "yes",
    ("joints",): "N",
    ("readings",): "1",
    **{(word,): "NAME" for word in ("left_holes", "right_holes")},
    **{(word,): "NAME" for word in ("heights", "obstacles", "complaints")},
}


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip of the sheet: what is read at one station."""

    letter: str
    station: Station
    prefix: Path  # of the keys, said once
    asks: tuple[Question, ...]  # with a box each
    more: tuple[Question, ...]  # with a short line each

    @property
    def sketch(self) -> Sketch | None:
        """What is drawn beside it; shaft 2 is like shaft 1."""
        own = re.sub(r" (1|N|NAME)$", "", self.station.name)
        return None if self.station.name in LINES_ONLY else SKETCHES.get(own)

    @property
    def is_short(self) -> bool:
        """Whether half of the width does."""
        return not self.asks and self.sketch is None


def strips(kind: str) -> list[Strip]:
    """Return the strips of the sheet for a kind of suspension, in the order of the walk."""
    known = PARTS | {("suspension", "kind"): kind}
    made: list[Strip] = []
    for station in walk(known):
        asks = [_question(path, station, known) for path in station.asks if _printed(path)]
        more = [_question(path, station, known) for path in station.more if _printed(path)]
        if asks or more:
            prefix = _prefix([one.path for one in (*asks, *more)])
            letter = chr(ord("A") + len(made))
            if station.name in LINES_ONLY:
                asks, more = [], [*asks, *more]
            more = [one for one in asks if _has_default(one)] + more
            asks = [one for one in asks if not _has_default(one)]
            made.append(Strip(letter, station, prefix, tuple(asks), tuple(more)))
    return made


def _question(path: Path, station: Station, known: Mapping[Path, str]) -> Question:
    """Return a question; on paper it is not known yet of how many pieces the shaft is."""
    question, key = question_of(path, station, known), key_of(path)
    return replace(question, key=key) if key and path == ("spline", "at") else question


def _has_default(question: Question) -> bool:
    """Say whether it is a choice that is rarely another one than what holds if it is blank."""
    choice = isinstance(question.key, ChoiceKey) and question.key.stands_in() is not None
    return choice or question.path == ("slopes",)


def _printed(path: Path) -> bool:
    """Say whether a person answers it on paper; names and numbers of parts head their strips."""
    listed = len(path) == 1 and path[0] in (*NAMED, "readings", "display")
    return not listed and path[0] != "more" and path != ("suspension", "kind")


def _prefix(paths: Sequence[Path]) -> Path:
    """Return what the keys of a strip begin with, said once above its boxes."""
    tables = [path[:-1] for path in paths if len(path) > 1]
    tables = tables if 2 * len(tables) > len(paths) else []
    depth = 0
    while tables and all(len(t) > depth and t[depth] == tables[0][depth] for t in tables):
        depth += 1
    return tables[0][:depth] if depth else ()
