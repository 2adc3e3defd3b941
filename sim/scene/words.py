"""Words for what a file holds: values, choices and paths."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from sim.errors import printable
from sim.scene.text import Path

NUMBERED = ("shaft", "bearing", "joint")
NAMED = ("obstacle", "torque_case", "output_move", "road_speed", "height", "duty", "complaint")
NAME_RULE = (
    "a name has at most 40 letters, digits, spaces and . , ( ) _ + -, and starts with a letter "
    "or digit"
)


def quote(value: object) -> str:
    """Return a value as written, shortened, safe to print; texts in quotes."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if not isinstance(value, str):
        shown = str(value)
        return shown if len(shown) <= 20 else shown[:20] + "…"
    shown = printable(value[:60])
    return f'"{shown}{"…" if len(value) > 60 else ""}"'


def one_of(word: str, allowed: Sequence[str]) -> str:
    """Say what is allowed, and the nearest: "allowed: leaf, links; did you mean leaf?"."""
    listed = ", ".join(allowed[:12]) + ", …" * (len(allowed) > 12)
    return f"allowed: {listed}{nearest(word, allowed)}"


def nearest(word: str, allowed: Sequence[str]) -> str:
    """Ask whether the nearest of some words was meant; "" where none is near."""
    near = difflib.get_close_matches(word.lower(), allowed, 1, 0.6)
    return f"; did you mean {near[0]}?" if near else ""


def part_name(path: Path) -> str:
    """Return a path in words: ("shaft", "2", "tube", "wall") is "shaft 2, tube.wall"."""
    if len(path) >= 2 and path[0] in NUMBERED:
        head, rest = f"{path[0]} {path[1]}", path[2:]
    elif len(path) >= 2 and path[0] in NAMED:
        head, rest = f"{path[0].replace('_', ' ')} {quote(path[1])}", path[2:]
    elif len(path) >= 3 and path[1] == "reading":
        head, rest = f"suspension, reading {path[2]}", path[3:]
    elif path in (("shaft",), ("bearing",)):
        return f"{path[0]}s"
    else:
        return ".".join(path)
    return head + (", " + ".".join(rest) if rest else "")
