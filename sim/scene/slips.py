"""Slips in a line that TOML does not accept, and what to write in its place."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable

from sim.scene.quantity import SPELLINGS


def what_is_wrong(row: str, error: Exception) -> str:
    """Say what to write in place of a line that TOML does not accept."""
    if isinstance(error, RecursionError):
        return "nested too deeply"
    if re.search("[“”„‘’«»]", row):
        return 'curly quotes; write straight ones: "'
    if '"""' in row or "'''" in row:
        return 'a text goes on one line, in single quotes: "…"'
    if row.startswith("["):
        return _wrong_header(row.split("#")[0].strip())
    head, equals, value = row.partition("=")
    if not equals:
        key, colon, rest = row.partition(":")
        colon_words = f"a colon; write {key.strip()} = {rest.strip()[:60]}"
        return colon_words if colon else f'neither a header nor key = "value": {row[:40]}'
    value = value.split("#")[0].strip()
    return next(say(head.strip(), value) for wrong, say in _SLIPS if wrong(head, value))


def _is_key(head: str) -> bool:
    """Say whether a text is a key or a path of keys."""
    try:
        tomllib.loads(f"{head} = 0")
    except ValueError:
        return False
    return True


def _behind(value: str) -> str:
    """Return what stands behind the closing quote of a value."""
    found = re.fullmatch(r"""(?:"[^"]*"|'[^']*')\s*(.*)""", value)
    return found[1].lower() if found else ""


def _wrong_header(row: str) -> str:
    if not row.endswith("]"):
        return "the header has no closing ]"
    return f'{row} is no header; spaces and other signs go in quotes: [obstacle."fuel tank"]'


# What is wrong with a key and its value, and the words for it; the first that fits is said.
_SLIPS: tuple[tuple[Callable[[str, str], bool], Callable[[str, str], str]], ...] = (
    (
        lambda head, value: bool(re.search(r"\s", head.strip())) and '"' not in head,
        lambda head, value: f"{head} has a space; keys are written with _",
    ),
    (
        lambda head, value: not value,
        lambda head, value: f"{head} has no value",
    ),
    (
        lambda head, value: value.startswith("{"),
        lambda head, value: (
            'not understood inside { }: each key = "value", commas between, } at the end of the '
            "same line"
        ),
    ),
    (
        lambda head, value: value.startswith("="),
        lambda head, value: f"{head} is followed by two =; write one",
    ),
    (
        lambda head, value: not value.startswith(('"', "'")),
        lambda head, value: f'{head} = {value}: values go in quotes: {head} = "{value}"',
    ),
    (
        lambda head, value: bool(re.fullmatch(r'"[\d /-]+""', value)),
        lambda head, value: f"write in for inches: {value.replace(chr(34), '').strip()} in",
    ),
    (
        lambda head, value: value.startswith('"') and value.count('"') % 2 == 1,
        lambda head, value: "the closing quote is missing",
    ),
    (
        lambda head, value: bool(re.search(r"\d\s*\"\s*\"", value)),
        lambda head, value: 'write in for inches, as in "43-1/2 in"',
    ),
    (
        lambda head, value: not _is_key(head),
        lambda head, value: (
            f"{head[:40] or 'an empty text'} is no key; keys are letters a to z, digits and _, "
            "with dots between, as in bearing.1.up"
        ),
    ),
    (
        lambda head, value: value.startswith("'") and value.count("'") % 2 == 1,
        lambda head, value: "the closing quote is missing",
    ),
    (
        lambda head, value: _behind(value) in SPELLINGS,
        lambda head, value: f'the unit goes inside the quotes: {head} = "… {_behind(value)}"',
    ),
    (
        lambda head, value: bool(_behind(value)),
        lambda head, value: (
            f"behind the closing quote stands {_behind(value)[:40]}; only a comment may: # …"
        ),
    ),
    (
        lambda head, value: "\\" in value,
        lambda head, value: "a backslash has no place in a value; leave it out",
    ),
    (
        lambda head, value: True,
        lambda head, value: 'not understood; write key = "value", as in up = "531 mm"',
    ),
)
