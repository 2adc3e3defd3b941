"""Slips in a line that TOML does not accept, and what to write in its place."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

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
        shown = row if len(row) <= 40 else f"{row[:40].rstrip()}…"
        return colon_words if colon else f'neither a header nor key = "value": {shown}'
    value = value.split("#")[0].strip()
    return next(said for wrong, said in _slips(head.strip(), value) if wrong)


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


def _slips(head: str, value: str) -> Iterator[tuple[bool, str]]:
    """Yield what may be wrong with a key and its value, and the words for it."""
    behind = _behind(value)
    yield (
        bool(re.search(r"\s", head)) and '"' not in head,
        f"{head} has a space; keys are written with _",
    )
    yield not value, f"{head} has no value"
    in_line = 'not understood inside { }: each key = "value", commas between, } at the end of the '
    yield value.startswith("{"), in_line + "same line"
    yield value.startswith("="), f"{head} is followed by two =; write one"
    quoted = value.startswith(('"', "'"))
    yield not quoted, f'{head} = {value}: values go in quotes: {head} = "{value}"'
    inches = f"write in for inches: {value.replace(chr(34), '').strip()} in"
    yield bool(re.fullmatch(r'"[\d /-]+""', value)), inches
    open_ = "the closing quote is missing"
    yield value.startswith('"') and value.count('"') % 2 == 1, open_
    yield bool(re.search(r"\d\s*\"\s*\"", value)), 'write in for inches, as in "43-1/2 in"'
    keys = "keys are letters a to z, digits and _, with dots between, as in bearing.1.up"
    yield not _is_key(head), f"{head[:40] or 'an empty text'} is no key; {keys}"
    yield value.startswith("'") and value.count("'") % 2 == 1, open_
    yield behind in SPELLINGS, f'the unit goes inside the quotes: {head} = "… {behind}"'
    only = "only a comment may: # …"
    yield bool(behind), f"behind the closing quote stands {behind[:40]}; {only}"
    yield "\\" in value, "a backslash has no place in a value; leave it out"
    yield True, 'not understood; write key = "value", as in up = "531 mm"'
