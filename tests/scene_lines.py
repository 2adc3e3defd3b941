"""Lines of advice written into the text of a scene, as its author would write them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from typing import Any

OPPOSITE = {
    a: b
    for one, other in (
        ("aft", "forward"),
        ("right", "left"),
        ("up", "down"),
        ("nose_up", "nose_down"),
    )
    for a, b in ((one, other), (other, one))
}


def with_lines(text: str, configuration: str, lines: Sequence[str]) -> str:
    """Return a scene's text with lines written under a configuration.

    A line that says a key anew takes the place of the old one, or of its opposite ("left" of
    "right"), where the configuration writes it itself; else it is put into the configuration.

    Args:
        text: Text of the scene [text].
        configuration: Name of the configuration [text].
        lines: As printed, as in 'bearing.1.up = "534 ± 3 mm"'.

    Returns:
        Text of the scene as changed [text].

    Raises:
        ValueError: If a line cannot be written without changing anything else.
    """
    for line in lines:
        path, _, value = line.partition(" = ")
        text = _with_line(
            text, configuration, tuple(path.split(".")), tomllib.loads("v = " + value)["v"]
        )
    return text


def _with_line(text: str, configuration: str, path: tuple[str, ...], value: str) -> str:
    """Return the text with one value of a configuration written anew."""
    wanted = tomllib.loads(text)
    _put(wanted["configuration"][configuration], path, value)
    for changed in _ways(text, configuration, path, value):
        try:
            if tomllib.loads(changed) == wanted:
                return changed
        except tomllib.TOMLDecodeError:
            continue
    raise ValueError(f"cannot write {'.'.join(path)} = {value!r} under {configuration}")


def _put(table: dict[str, Any], path: tuple[str, ...], value: str) -> None:
    """Put a value into nested tables; its opposite goes."""
    *above, key = path
    for name in above:
        table = table.setdefault(name, {})
    table.pop(OPPOSITE.get(key, key), None)
    table[key] = value


def _ways(text: str, configuration: str, path: tuple[str, ...], value: str) -> Iterator[str]:
    """Yield the texts in which the value may stand anew, right or wrong."""
    rows = text.split("\n")
    *above, key = path
    old = "|".join(re.escape(k) for k in (key, OPPOSITE.get(key, key)))
    for number, row in enumerate(rows):  # an old value, on a line of its own or in braces
        for found in re.finditer(rf'\b({old})( *= *)"[^"]*"', row):
            new = row[: found.start()] + f'{key}{found[2]}"{value}"' + row[found.end() :]
            yield "\n".join([*rows[:number], new, *rows[number + 1 :]])
        if "{" in row:  # one more value in braces
            new = re.sub(r" *\}", f', {key} = "{value}" }}', row, count=1)
            yield "\n".join([*rows[:number], new, *rows[number + 1 :]])
    for depth in range(len(above), -1, -1):  # a line below a header
        header = ".".join(["configuration", configuration, *above[:depth]])
        line = f'{".".join((*above[depth:], key))} = "{value}"'
        yield from _below(rows, header, [line])
    last = max(n for n, row in enumerate(rows) if row.startswith(f"[configuration.{configuration}"))
    end = next((n for n in range(last + 1, len(rows)) if rows[n].startswith("[")), len(rows))
    header = ".".join(["configuration", configuration, *above])
    yield "\n".join([*rows[:end], f"[{header}]", f'{key} = "{value}"', "", *rows[end:]])


def _below(rows: list[str], header: str, lines: list[str]) -> Iterator[str]:
    """Yield the text with lines right below a header."""
    for number, row in enumerate(rows):
        if row.partition("#")[0].strip() == f"[{header}]":
            yield "\n".join([*rows[: number + 1], *lines, *rows[number + 1 :]])
