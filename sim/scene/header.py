"""The keys at the top of a scene, the names of its configurations, and what each is like."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path as FilePath
from typing import Any

from sim.errors import SceneError
from sim.scene.keys import NAME, Key, Node
from sim.scene.rule_file import built_in_rules, read_rule_file, split_name
from sim.scene.text import Path, Tables
from sim.scene.values import opposite
from sim.scene.words import NAME_RULE, one_of, quote

FORMAT = "halfturn scene 1"
DISPLAYS = ("metric", "inch")
RULE_SETS = built_in_rules().sets
MOST_CONFIGURATIONS = 50


class WordsKey(Key[str]):
    """A key beside the tables that holds a text of at most so many characters."""

    def __init__(self, meaning: str, most: int, shown: str = "") -> None:
        super().__init__(meaning, needed=bool(shown))
        self.most, self.shown = most, shown

    def node(self) -> Node:
        """Return its JSON Schema."""
        return {"type": "string", "maxLength": self.most} | self.described()


ABOUT = WordsKey("A sentence for the report.", 400).also("note notes description")
TOP = {
    "format": WordsKey("Format of the file.", 40, FORMAT),
    "title": WordsKey("Name of the vehicle.", 80, "Orchard service truck").also("name"),
    "about": ABOUT,
    "datum": WordsKey(
        "Where all places are measured from, in words.",
        160,
        "front wheel center, ground, middle of the frame",
    ),
    "display": WordsKey("Units of screens and sheets.", 10, "metric").also("units"),
    "rules": WordsKey(
        "Rule set that judges; or a set in a file beside the scene.", 100, "two-piece service"
    ),
    "compare": WordsKey("Names of the two configurations of the film, a comma between.", 90),
    "read_again": WordsKey(
        "Readings that were doubted, read again and found the same, a comma between.", 4000
    ).also("confirmed checked"),
}
OWN = {  # keys of a configuration that are no part of the set-up
    "about": ABOUT,
    "like": WordsKey("Name of the one it starts from; its shafts are cut to fit.", 40).also(
        "based_on base inherits from_configuration"
    ),
    "same_shafts_as": WordsKey("Name of the one it starts from; its shafts are already cut.", 40),
}

Add = Callable[[Path, str], None]


def check_header(root: Tables, rule_sets: Sequence[str], folder: FilePath | None, add: Add) -> None:
    """Report what is wrong at the top of a scene; a shop's own rule file is in the folder."""
    for word, key in TOP.items():
        if word in root:
            check_text((word,), root[word], word, key.most, add)
        elif key.needed:
            add((), f'{word} is missing; write {word} = "{key.shown}" at the top')
    written = root.get("format")
    if isinstance(written, str) and written != FORMAT:
        add(("format",), f'format is {quote(written)}; this program reads "{FORMAT}"')
    display, rules = root.get("display"), root.get("rules")
    if isinstance(display, str) and display not in DISPLAYS:
        add(("display",), f"display is {quote(display)}; {one_of(display, DISPLAYS)}")
    wrong = isinstance(rules, str) and rules not in rule_sets
    if wrong and (said := _wrong_rules(str(rules), rule_sets, folder)):
        add(("rules",), f"rules is {quote(rules)}; {said}")


def _wrong_rules(rules: str, rule_sets: Sequence[str], folder: FilePath | None) -> str:
    """Say why a rule set cannot judge: neither built in, nor in a file beside the scene."""
    file, chosen = split_name(rules)
    if not file:
        return one_of(rules, rule_sets) + '; or a file of your own: "shop.toml: our shop"'
    if re.search(r"[/\\\\]", file):
        return "a rule file stands beside the scene: its name alone, without a path"
    try:
        sets = [] if folder is None else read_rule_file(folder / file).sets
    except SceneError as error:
        return str(error).split("\n", 1)[0]
    if folder is None or chosen in sets or (not chosen and len(sets) == 1):
        return ""
    return one_of(chosen, sets) if sets else f"there is no rule set in {file}: [set.our-shop]"


def check_text(path: Path, value: object, what: str, most: int, add: Add) -> None:
    """Report what is wrong with a text of at most so many characters, called by its name."""
    if not isinstance(value, str):
        add(path, f"{what} is {quote(value)}; text in quotes belongs here")
    elif len(value) > most:
        add(path, f"{what} has {len(value)} characters; at most {most}")
    elif not value.isprintable():
        add(path, f"{what} holds a character that cannot be printed")
    elif not value.strip():
        add(path, f"{what} is empty")


def named_configurations(root: Tables, add: Add) -> dict[str, Tables]:
    """Return the configurations with a usable name, in the order written."""
    written = root.get("configuration")
    if not isinstance(written, dict) or not written:
        add((), "no configuration: name at least one, as in [configuration.one-piece]")
        return {}
    if len(written) > MOST_CONFIGURATIONS:
        said = f"{len(written)} configurations; at most {MOST_CONFIGURATIONS}"
        add(("configuration",), said)
        return {}
    named: dict[str, Tables] = {}
    spelled: dict[str, str] = {}
    for name, table in written.items():
        path = ("configuration", name)
        twin = spelled.setdefault(name.lower(), name)
        if not re.search(NAME, name):
            add(path, f"configuration {quote(name)}: {NAME_RULE}")
        elif twin != name:
            add(path, f'configuration "{name}" differs from "{twin}" by its capitals only')
        elif not isinstance(table, dict):
            said = f"configuration.{name} is a value; a configuration is a table: "
            add(path, said + f"[configuration.{name}]")
        else:
            named[name] = table
    return named


def chain(name: str, named: dict[str, Tables], add: Add) -> list[str] | None:
    """Return the names that a configuration is built from, its own last; None if in a circle."""
    names: list[str] = []
    while True:
        names.insert(0, name)
        words = [word for word in ("like", "same_shafts_as") if word in named[name]]
        if not words:
            return names
        path = ("configuration", name, words[-1])
        if len(words) == 2:
            add(path, f'configuration "{name}" has both like and same_shafts_as; keep one')
            return None
        other = named[name][words[0]]
        if said := _cannot_follow(other, name, names, named):
            add(path, f'configuration "{name}", {words[0]} {said}')
            return None
        name = other


def _cannot_follow(other: object, name: str, names: list[str], named: dict[str, Any]) -> str:
    """Say why a configuration cannot start from another; "" if it can."""
    if not isinstance(other, str) or other not in named:
        others = [n for n in named if n != name]
        allowed = one_of(str(other), others) if others else "there is no other configuration"
        return f"is {quote(other)}; {allowed}"
    if other == name:
        return "names itself"
    return f'is "{other}", which goes round in a circle' if other in names else ""


def compared(root: Tables, names: Sequence[str], add: Add) -> tuple[str, str]:
    """Return the two configurations of the film: as written, the first two, or one twice."""
    if "compare" not in root:
        return names[0], names[min(1, len(names) - 1)]
    written = " ".join(str(root["compare"]).split())
    ways = {f"{a},{gap}{b}": (a, b) for a in names for b in names for gap in ("", " ")}
    if written in ways:
        return ways[written]
    parts = [part.strip() for part in written.split(",")]
    if len(parts) != 2:
        said = 'two names belong here, as in "one-piece, two-piece"'
    else:
        wrong = next((part for part in parts if part not in names), parts[0])
        said = f"{quote(wrong)} is no configuration; {one_of(wrong, names)}"
    add(("compare",), f"compare is {quote(written)}; {said}")
    return names[0], names[0]


def read_again(root: Tables, readings: Sequence[str], add: Add) -> tuple[str, ...]:
    """Return what is doubted no more; each must be a reading, or a table of readings."""
    written = (path.strip() for path in str(root.get("read_again", "")).split(","))
    again, known = tuple(filter(None, written)), [*readings, *map(opposite, readings)]
    for path in again:
        if not any(f"{one}.".startswith(f"{path}.") for one in known):
            add(("read_again",), f"read_again names {quote(path)}; {one_of(path, readings)}")
    return again
