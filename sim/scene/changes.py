"""Changes tried on a scene: lines as its file has them, written over it where each key lives."""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sim.scene.header import TOP
from sim.scene.overlay import Merged
from sim.scene.quantity import TAILS
from sim.scene.text import LONGEST_LINE, Path, Tables, keys_of
from sim.scene.values import OPPOSITES
from sim.scene.words import part_name, quote

_SPREAD = re.compile(r"\s*(?:±|\+/-|\+-).*")
_TAIL = re.compile(rf"\s*(?:{'|'.join(TAILS)})\s*$", re.IGNORECASE)


class ChangeError(ValueError):
    """A line that is no change: what is wrong with it."""


@dataclass(frozen=True, slots=True)
class Change:
    """One line that is tried."""

    path: Path  # its keys
    value: object  # what it writes, text in all sound cases

    @property
    def label(self) -> str:
        """The change by its key, for messages."""
        return "--try " + ".".join(self.path)


def read_change(line: str) -> Change:
    """Return the change that a line asks for.

    As in 'bearing.1.up = "534 mm"', a line of a scene with all its keys; the quotes may be left
    out.

    Raises:
        ChangeError: If it is no such line.
    """
    key, equals, value = line.partition("=")
    if not equals or not key.strip() or not value.strip() or len(line) > LONGEST_LINE:
        raise ChangeError(f"{quote(line)}: write a key and its value, as in bearing.1.up = 534 mm")
    return Change(_keys(key.strip()), _value(value.strip()))


def _keys(key: str) -> Path:
    """Return the keys of a dotted path; a name with spaces may do without quotes."""
    try:
        found = tomllib.loads(f"{key} = 0")
    except (ValueError, RecursionError):
        return tuple(part.strip().strip('"') for part in key.split("."))
    if not found:
        raise ChangeError(f"{quote(key)}: write a key, as in bearing.1.up = 534 mm")
    return keys_of(found)


def _value(value: str) -> object:
    """Return what is written behind the equals sign."""
    if value in ("true", "false"):
        return value == "true"
    if value[0] not in "\"'":
        return value
    try:
        return tomllib.loads(f"value = {value}")["value"]
    except ValueError:
        return value


def lay_over(
    root: Tables, changes: Sequence[Change], merged: Mapping[str, Merged], only: str | None
) -> tuple[Tables, dict[Path, Change]]:
    """Return the tables of a scene with changes written over them, and the change of every path.

    Each key is changed where it lives, or only in the configuration named.
    """
    root = copy.deepcopy(root)
    tried: dict[Path, Change] = {}
    for change in changes:
        _refuse_no_bearing(change, changes, merged, only)
        for home in _homes(change.path, merged, only):
            if home in tried:
                raise ChangeError(f"{change.label}: is tried twice")
            _write(root, home, change, None if only is None else merged[only])
            tried[home] = change
    return root, tried


def _refuse_no_bearing(
    change: Change, changes: Sequence[Change], merged: Mapping[str, Merged], only: str | None
) -> None:
    """Refuse one line on a bearing that nothing has: to hang one takes its place and its joint."""
    table = change.path[:2]
    looked = {name: layers for name, layers in merged.items() if only in (None, name)}
    alone = sum(other.path[:2] == table for other in changes) == 1
    if table[0] != "bearing" or not (alone and looked and len(change.path) > 2):
        return
    if not any(table in layers.origin for layers in looked.values()):
        who = f'configuration "{next(iter(looked))}"' if len(looked) == 1 else "the scene"
        raise ChangeError(f"{change.label}: {who} has no {part_name(table)}")


def _homes(path: Path, merged: Mapping[str, Merged], only: str | None) -> list[Path]:
    """Return where in the file a change is written."""
    if path[0] in (*TOP, "configuration"):
        return [path]
    if only is not None:
        return [("configuration", only, *path)]
    homes = [home for layers in merged.values() if (home := _home(path, layers))]
    return list(dict.fromkeys(homes)) or [path]


def _home(path: Path, layers: Merged) -> Path | None:
    """Return where in the file a configuration has a key, or its table; None if it has neither."""
    for key in (path[-1], OPPOSITES.get(path[-1], path[-1])):
        if (*path[:-1], key) in layers.origin:
            return (*layers.origin[*path[:-1], key][:-1], path[-1])
    table = layers.origin.get(path[:-1]) if len(path) > 1 else ()
    return None if table is None else (*table, path[-1])


def _write(root: Tables, home: Path, change: Change, layers: Merged | None) -> None:
    """Write a change into the tables, in place of the key or its opposite."""
    table = root
    for depth, step in enumerate(home[:-1], 1):
        table = table.setdefault(step, {})
        if not isinstance(table, dict):
            name = ".".join(home[:depth])
            raise ChangeError(f"{change.label}: {name} is a value, with no keys below it")
    key = home[-1]
    other = "" if change.path[:-1] == ("travel",) else OPPOSITES.get(key, "")
    was = [table.pop(other, None), table.get(key)]
    if layers is not None:
        was += [layers.at((*change.path[:-1], name)) for name in (other, key)]
    text = next((text for text in was if isinstance(text, str)), "")
    table[key] = _with_spread(change.value, text)


def _with_spread(value: object, was: str) -> object:
    """Return a value with the ± of the reading that it replaces, unless it has its own."""
    spread = _SPREAD.search(was)
    if not isinstance(value, str) or spread is None or _SPREAD.search(value):
        return value
    if not re.search(r"[^\W\d_]|%", value):
        return value  # its unit is missing, which the ± must not hide
    both = [_TAIL.search(text) for text in (value, was)]
    body, tail = (value[: both[0].start()], both[0].group()) if both[0] else (value, "")
    kept = spread.group()[: -len(both[1].group())] if both[1] else spread.group()
    return body + kept + tail
