"""What is asked of a new vehicle, one question a reading, in the order of the walk.

What a key means, how it is written, its range and what holds without it stand in the tables of the
scene reader; ``stations.py`` says where it is read.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sim.scene.header import DISPLAYS, RULE_SETS, TOP
from sim.scene.keys import ChoiceKey, Key, QuantityKey, TextKey
from sim.scene.places import SidePoint
from sim.scene.stations import Station
from sim.scene.table import NamedKey, Table, table_at
from sim.scene.tables.joint import KINDS as JOINTS
from sim.scene.tables.joint import kind_of_joint
from sim.scene.tables.setup import Setup
from sim.scene.tables.suspension import KINDS
from sim.scene.text import Path
from sim.scene.values import OPPOSITES
from sim.scene.walk import walk
from sim.scene.words import NAME_RULE

LEFT_OUT = "-"  # the answer to what is not known
Answers = Mapping[Path, str]  # by the path of the key, as they are written


def _choice(choices: tuple[str, ...], meaning: str, left_out: str = "") -> ChoiceKey[str]:
    return ChoiceKey(choices, meaning, default=None, needed=not left_out, left_out=left_out)


def _names(meaning: str) -> TextKey[str]:
    name = "[A-Za-z0-9][A-Za-z0-9 .()_+-]{0,39}"
    return TextKey(meaning, pattern=f"^{name}(, *{name})*$", rule=NAME_RULE, left_out="none")


# What decides on questions and is no key of a scene, or is no key of a table.
OWN: dict[Path, Key[str]] = {
    ("display",): _choice(DISPLAYS, TOP["display"].meaning, "metric"),
    ("title",): TOP["title"],
    ("datum",): TOP["datum"],
    ("rules",): _choice(RULE_SETS, TOP["rules"].means, "two-piece service"),
    ("pieces",): _choice(
        ("1", "2", "3"), "How many shafts from output to pinion, as it is or as it is meant to be."
    ),
    ("suspension", "kind"): _choice(
        (*KINDS, "none"),
        "What guides the axle.  Measured: the pinion joint read at other heights in place of "
        "springs or links.  None: only ride height is looked at.",
    ),
    ("slopes",): _choice(
        ("frame", "level"), "What slopes are read against: the frame rail, or level.", "frame"
    ),
    ("more", "rails"): _choice(("no", "yes"), "Are the frame rails measured?", "no"),
    ("more", "brace"): _choice(
        ("no", "yes"), "Is the free space for a center bearing measured?", "no"
    ),
    ("readings",): _choice(
        tuple("123456789"), "At how many heights besides ride height the pinion joint was read."
    ),
    ("joints",): TextKey(
        "Joints that are no plain universal joint, or have a known rating, by number, as in 1, 3.",
        pattern=r"^[1-4]( *, *[1-4])*$",
        rule='joints are named by their numbers from the front, as in "1, 3"',
        left_out="all are plain",
    ),
    ("left_holes",): _names("Holes that the rail has already, by name; commas between."),
    ("right_holes",): _names("Holes that the rail has already, by name; commas between."),
    ("heights",): _names("Other heights worth a look, as in loaded; commas between."),
    ("obstacles",): _names(
        "What the shafts might touch, as in exhaust pipe, fuel tank; commas between."
    ),
    ("complaints",): _names("What the driver feels, as in boom; commas between."),
}
MORE = _choice(("no", "yes"), "Whether more is known of it.", "no")
WHERE = (
    "aft of the front wheel center, up from the ground, to the side from the middle of the frame"
)
ON_ENTER = {("datum",): WHERE} | {
    path: key.left_out for path, key in OWN.items() if isinstance(key, ChoiceKey) and key.left_out
}
NAMED = {  # where what is asked by names stands
    "joints": ("joint",),
    "heights": ("height",),
    "obstacles": ("obstacle",),
    "complaints": ("complaint",),
    "left_holes": ("left_rail", "hole"),
    "right_holes": ("right_rail", "hole"),
}
SPLINES = {True: ("output", "shaft"), False: ("midship", "shaft")}  # of one shaft, of more


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to ask: a key of the scene, or what decides which keys are asked."""

    path: Path  # where a scene holds it; or a word of our own
    key: Key[Any]  # its meaning, its range and what holds without it
    station: Station  # where it is read
    needed: bool  # whether no scene is complete without it

    @property
    def name(self) -> str:
        """Its path in words, as in "obstacle.exhaust pipe.from.aft"."""
        return ".".join(self.path)

    @property
    def other(self) -> Path:
        """Path of the opposite word, as down for up; its own where there is none."""
        return opposite_of(self.path)

    @property
    def on_enter(self) -> str:
        """What Enter answers; "" where nothing stands in."""
        return ON_ENTER.get(self.path, "" if self.needed else LEFT_OUT)

    @property
    def asks(self) -> str:
        """What is asked, in words; a point of a part is named with what it is."""
        said, table = self.key.meaning.rstrip("."), table_at(Setup, self.path[:-1], {})
        inner = len(self.path) > 2 and not self.path[-2].isdigit()
        owner = key_of(self.path[:-1]) if inner and table and issubclass(table, SidePoint) else None
        return f"{owner.means}: {said[:1].lower()}{said[1:]}" if owner else said


def opposite_of(path: Path) -> Path:
    """Return the path of the opposite word, as down for up; the path itself where there is none."""
    word = path[-1] if path[0] != "travel" else ""
    return (*path[:-1], OPPOSITES[word]) if word in OPPOSITES else path


def is_answered(path: Path, answers: Answers) -> bool:
    """Say whether a path, or the opposite word, is answered, if only as not known."""
    return path in answers or opposite_of(path) in answers


def is_own(path: Path) -> bool:
    """Say whether a path is no key of a scene, but decides on questions."""
    return path[0] == "more" or (len(path) == 1 and path in OWN and path[0] not in TOP)


@functools.cache
def key_of(path: Path, kind: str = "") -> Key[Any] | None:
    """Return the key at a path, by the kind of suspension; None where there is none."""
    own = OWN.get(path) or (MORE if path[0] == "more" else None)
    if own is not None or len(path) == 1:
        return own or TOP.get(path[0]) or Setup.declared().get(path[0])
    above = Setup.declared().get(path[0])
    if len(path) == 2 and isinstance(above, NamedKey):
        return above.inner if isinstance(above.inner, QuantityKey) else None
    table = _table(path[:-1], kind)
    return table.declared().get(path[-1]) if table else None


@functools.cache
def _table(path: Path, kind: str = "") -> type[Table] | None:
    """Return the table at a path, of the kind of suspension, or of the first that has it."""
    for one in (kind,) if kind in KINDS else KINDS:
        table = table_at(Setup, path, {"suspension": {"kind": one}})
        if table is not None:
            return table
    return None


def questions(answers: Answers) -> list[Question]:
    """Return what is to be asked of a vehicle, as far as the answers decide it, in order."""
    known, asked = decided(answers), []
    for station in walk(known):
        asked += [question_of(path, station, known) for path in station.asks]
        if station.more:
            gate = ("more", station.name)
            if gate not in OWN:
                key = _choice(("no", "yes"), station.gate, "no")
                asked.append(Question(gate, key, station, needed=False))
            if known.get(gate) == "yes":
                asked += [question_of(path, station, known) for path in station.more]
    return [question for question in asked if _belongs(question.path, known)]


def decided(answers: Answers) -> dict[Path, str]:
    """Return the answers, with what decides on questions where only its readings are there."""
    found: dict[Path, str] = {}
    numbered: dict[str, Path] = {"pieces": ("shaft",), "readings": ("suspension", "reading")}
    for word, table in numbered.items():
        if numbers := [n for n in _below(table, answers) if _fits((word,), n)]:
            found[word,] = max(numbers)
    for word, table in NAMED.items():
        if names := _below(table, answers):
            found[word,] = ", ".join(names)
    known = found | {p: a for p, a in answers.items() if p[0] not in numbered or _fits(p, a)}
    for _ in range(2):  # behind a gate there may be another
        known = _opened(known) | known
    return known


def _fits(path: Path, answer: str) -> bool:
    """Say whether an answer that decides on questions is one of its choices."""
    key = OWN.get(path)
    return not isinstance(key, ChoiceKey) or answer in key.choices


def _below(table: Path, answers: Answers) -> list[str]:
    """Return the names or numbers in a table, in the order of the answers."""
    depth = len(table)
    return list(dict.fromkeys(path[depth] for path in answers if path[:depth] == table != path))


def _opened(answers: Answers) -> dict[Path, str]:
    """Return the gates behind which something was answered."""
    return {
        ("more", station.name): "yes"
        for station in walk(answers)
        if any(is_answered(path, answers) for path in station.more)
    }


def question_of(path: Path, station: Station, answers: Answers) -> Question:
    """Return the question of a path, as the answers have it."""
    key = key_of(path, answers.get(("suspension", "kind"), ""))
    assert key is not None, path  # the stations name keys of the reader only
    if path == ("spline", "at"):
        key = _choice(SPLINES[answers.get(("pieces",)) == "1"], key.meaning)
    table = _table(path[:-1], answers.get(("suspension", "kind"), "")) if len(path) > 1 else None
    pair = table is not None and path[-1] in table.NEEDS
    needed = key.needed or pair or path in (("spline", "gap"), ("spline", "engaged"))
    needed = (needed or (path[0], path[-1]) == ("height", "bump")) and path not in ON_ENTER
    return Question(path, key, station, needed)


def _belongs(path: Path, answers: Answers) -> bool:
    """Say whether a question makes sense with what was answered."""
    if path[0] == "joint":
        kind = answers.get((*path[:2], "kind"), "universal")
        of_others = (kind_of_joint(k).own_keys for k in JOINTS if k != kind)
        return not any(path[-1] in keys for keys in of_others)
    if path[0] == "spline" and path[-1] != "at":
        plunging = (a for p, a in answers.items() if p[0] == "joint" and p[-1] == "plunge")
        return not any(answer != LEFT_OUT for answer in plunging)
    if path == ("pinion", "slope_on_wedge"):
        wedge = (("pinion", "nose_up"), ("pinion", "nose_down"))
        return any(answers.get(one, LEFT_OUT) != LEFT_OUT for one in wedge)
    return True
