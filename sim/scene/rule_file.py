"""A rule file as it is written, in the manner of a scene: its tables, and the line of every key."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path as FilePath

from sim.scene.text import Path, Tables, decode, read_file, statements


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RuleFile:
    """What a rule file says, not yet understood."""

    name: str  # name of the file, for messages
    tables: Tables  # its nested tables
    lines: dict[Path, int]  # line of every path of keys

    @property
    def sets(self) -> tuple[str, ...]:
        """Names of the rule sets in it, in the order written."""
        written = self.tables.get("set")
        return tuple(written) if isinstance(written, dict) else ()


SEPARATOR = ": "


def split_name(name: str) -> tuple[str, str]:
    """Return the file and the set that the name of a rule set stands for.

    File "" is a built-in set, set "" where only a file is named.

    Example:
        >>> split_name("shop.toml: our shop")
        ('shop.toml', 'our shop')
        >>> split_name("two-piece service")
        ('', 'two-piece service')
    """
    head, _, tail = name.partition(SEPARATOR)
    return (head, tail.strip()) if head.endswith(".toml") else ("", name)


def read_rule_file(path: FilePath) -> RuleFile:
    """Return what a rule file says.

    Whether its tables mean anything, ``sim.judge.rules`` finds out.

    Raises:
        SceneError: If it cannot be read, or a line is not understood.
    """
    tables, lines = statements(decode(read_file(path), path.name), path.name)
    return RuleFile(name=path.name, tables=tables, lines=lines)


@cache
def built_in_rules() -> RuleFile:
    """Return the rules that come with the program."""
    text = files("sim").joinpath("judge", "rule_sets.toml").read_text(encoding="utf-8")
    return RuleFile(name="rule_sets.toml", tables=tomllib.loads(text), lines={})
