"""What may have been meant by a key that is none, and how a missing one is written."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator, Mapping
from difflib import SequenceMatcher
from typing import Any

from sim.display import DisplayName
from sim.scene.header import TOP
from sim.scene.keys import NUMBER, ChoiceKey, Key
from sim.scene.table import NamedKey, Table, table_at
from sim.scene.tables.setup import Setup
from sim.scene.text import Path, Tables
from sim.scene.words import quote

ALIKE = 0.8  # share of letters in which a word misspelt agrees with the one meant
MOST = 3  # keys or tables that a hint names
FOLLOWS = {  # words that people write for what follows from other keys
    "wheelbase": "the place of [axle] says it",
    "ground_height": "it follows from [axle] and tire_radius",
    "ride_height": "all places are read at ride height; another one is [height.NAME]",
    "pieces": "the shafts are counted",
    "joint_angle": "it is computed from the slopes and places",
    "critical_speed": "it is computed from tube and length",
    "inside": "it follows from outside and wall",
} | dict.fromkeys(("center", "centre", "position"), "write aft, right and up themselves")

Keys = Mapping[str, Key[Any]]


def suggest(written: str, here: Keys) -> tuple[list[str], str]:
    """Return which keys of a table may have been meant by a word that is none, and a hint.

    A hint of a wrong key is worse than none: what the one key that it names means is said behind.
    """
    word = re.sub("[- ]", "_", written.lower())[:60]
    meant = _called(word, here)
    if not meant and word in FOLLOWS:
        return [], FOLLOWS[word]
    if not meant and Setup.declared().get(word, TOP["title"]).tables():
        return [], f"{word} is a table of its own: write it above this header, or under its own"
    meant = meant or _misspelt(word, here) or _in_part(word, here)
    if not meant:
        return [], _elsewhere(word) or "known here: " + ", ".join(here)
    means = f" {here[meant[0]].means}" if len(meant) == 1 else ""
    return meant, f"did you mean {' or '.join(meant)}?{means}"


def _called(word: str, keys: Keys) -> list[str]:
    """Return the key that is called so, in our words or in others; one or many is no matter."""
    bare = _bare(word)
    return [own for own, key in keys.items() if bare in map(_bare, (own, *key.others))]


def _bare(word: str) -> str:
    return word.replace("_", "").rstrip("s")


def _misspelt(word: str, keys: Keys) -> list[str]:
    """Return the key that is spelled most alike; none for what is a key elsewhere."""
    if any(word in others for others in _tables().values()):
        return []
    alike = {own: _alike(word.split("_"), own.split("_")) for own in keys}
    best = max(alike, key=alike.__getitem__)
    return [best] if alike[best] >= ALIKE else []


def _alike(one: list[str], other: list[str]) -> float:
    """Return the share of letters in which two words agree, in the part where it is least."""
    if len(one) != len(other):
        one, other = ["".join(one)], ["".join(other)]
    pairs = zip(one, other, strict=True)
    return min(sorted(a) == sorted(b) or SequenceMatcher(None, a, b).ratio() for a, b in pairs)


def _in_part(word: str, keys: Keys) -> list[str]:
    """Return the few keys that say all of a word, else mean it, else say a part of it."""
    parts, says = _parts(word), {own: _parts(own) for own in keys}
    meant = [own for own in keys if parts <= says[own]]
    called = {own: says[own] | _parts("_".join(key.others)) for own, key in keys.items()}
    if not meant and any(parts & (called[own] | _parts(keys[own].means, 2)) for own in keys):
        meant = [own for own in keys if parts <= called[own] | _parts(keys[own].means)]
    meant = meant or [own for own in keys if says[own] <= parts]
    return meant if len(meant) <= MOST else []


def _parts(text: str, first: int | None = None) -> set[str]:
    return {part.rstrip("s") for part in re.findall(r"[^\W_]+", text.lower())[:first]} or {text}


def _elsewhere(word: str) -> str:
    """Return in which one other table a word is a key, or ""."""
    homes = [(where, keys[word].means) for where, keys in _tables().items() if word in keys]
    return f"did you mean {word} {homes[0][0]}? {homes[0][1]}" if len(homes) == 1 else ""


@functools.cache
def _tables() -> dict[str, Keys]:
    """Return the keys of every table, by where it stands in a file, in words."""
    top: Keys = {**TOP, "series": Setup.declared()["series"]}
    return {"at the top of the file, above the first header": top} | dict(_below(Setup))


def _below(table: type[Table], path: str = "") -> Iterator[tuple[str, Keys]]:
    for word, key in table.declared().items():
        at = path + word
        if isinstance(key, NamedKey):
            at += ".1" if key.pattern == NUMBER else ".NAME"
        for inner in key.tables():
            keys = inner.declared()
            kind = keys.get("kind")
            one = isinstance(kind, ChoiceKey) and len(kind.choices) == 1
            yield f"in [{at}]" + (f" with kind = {quote(kind.choices[0])}" if one else ""), keys
            yield from _below(inner, f"{at}.")


def example_of(
    table: Path, key: str, tables: Tables, display: DisplayName = "metric"
) -> tuple[str, str]:
    """Return what a key means, and how it is written in the units of a reader; or "" twice."""
    found = (table_at(Setup, table, tables) or Setup).declared()[key]
    what = found.means.split(":")[0]
    return what[:1].lower() + what[1:], found.example(display)
