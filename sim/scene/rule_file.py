"""A rule file as it is written, in the manner of a scene: its tables, and the line of every key."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path as FilePath

from sim.errors import Problem, SceneError
from sim.scene.text import MOST_BYTES, Path, Tables, decode, statements


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RuleFile:
    """What a rule file says, not yet understood.

    Attributes:
        name: Name of the file, for messages.
        tables: Its nested tables.
        lines: Line of every path of keys.
    """

    name: str
    tables: Tables
    lines: dict[Path, int]

    @property
    def sets(self) -> tuple[str, ...]:
        """Names of the rule sets in it, in the order written."""
        written = self.tables.get("set")
        return tuple(written) if isinstance(written, dict) else ()


def read_rule_file(path: FilePath) -> RuleFile:
    """Return what a rule file says.

    Args:
        path: The file.

    Returns:
        Its tables; whether they mean anything, ``sim.judge.rules`` finds out.

    Raises:
        SceneError: If it cannot be read, or a line is not understood.
    """
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except OSError as error:
        why = (error.strerror or "unknown reason").lower()
        raise SceneError(path.name or str(path), [Problem(0, f"cannot be read: {why}")]) from error
    tables, lines = statements(decode(raw, path.name), path.name)
    return RuleFile(name=path.name, tables=tables, lines=lines)


@cache
def built_in_rules() -> RuleFile:
    """Return the rules that come with the program."""
    text = files("sim").joinpath("judge", "rule_sets.toml").read_text(encoding="utf-8")
    tables, lines = statements(text, "rule_sets.toml")
    return RuleFile(name="rule_sets.toml", tables=tables, lines=lines)
