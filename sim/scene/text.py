"""Scene text: bytes to statements and their lines, every syntax problem at once.

A scene is written one statement a line: a comment, a header, or a key with its value.  So each
line can be given to the TOML parser alone, and its number belongs to every key in it.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

from sim.errors import Problem, SceneError
from sim.scene.slips import what_is_wrong

_BARE = re.compile(r"[A-Za-z0-9_-]+")
MOST_BYTES, MOST_LINES, LONGEST_LINE, DEEPEST = 256 * 1024, 5000, 1000, 8

Path = tuple[str, ...]
Tables = dict[str, Any]
Found = Iterator[tuple[Path, str]]  # path of the key to mend or to look at, and what is wrong


def read_file(path: FilePath) -> bytes:
    """Return the bytes of a text file, no more than one over what ``decode`` takes.

    Raises:
        SceneError: If there is no such file; a pipe or a device, which may never end, is none.
    """
    name = path.name or str(path)
    try:
        if not path.is_dir() and path.exists() and not path.is_file():
            raise SceneError(name, [Problem(0, "is no file but a pipe or a device")])
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:  # a name with a zero byte is a ValueError
        why = (getattr(error, "strerror", None) or str(error)).lower()
        raise SceneError(name, [Problem(0, f"cannot be read: {why}")]) from error


def decode(raw: bytes, file: str) -> str:
    """Return the text of a scene file with plain line ends.

    Raises:
        SceneError: If it is too long, or not UTF-8 text.
    """
    if len(raw) > MOST_BYTES:
        most = MOST_BYTES // 1024
        raise SceneError(file, [Problem(0, f"the file has over {most} kB, the most for a scene")])
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise SceneError(file, [Problem(0, "the file is saved as UTF-16; save it as UTF-8")])
    if b"\0" in raw:
        line = raw.count(b"\n", 0, raw.index(b"\0")) + 1
        raise SceneError(file, [Problem(line, "the file is binary; a scene is a text file, UTF-8")])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        hint = "; is it the ± sign? +/- works too" if raw[error.start] == 0xB1 else ""
        raise SceneError(file, [Problem(line, f"the file is not saved as UTF-8{hint}")]) from None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def statements(text: str, file: str) -> tuple[Tables, dict[Path, int]]:
    """Return the nested tables of a scene, and the line where each path was first written.

    Raises:
        SceneError: With every line that is not understood.
    """
    rows = text.split("\n")
    if len(rows) > MOST_LINES:
        said = f"the file goes on for {len(rows)} lines; a scene has at most {MOST_LINES}"
        raise SceneError(file, [Problem(MOST_LINES, said)])
    reading = _Statements()
    for number, row in enumerate(rows, 1):
        reading.line(number, row.strip(" \t"))
    problems = reading.problems or _whole(text, rows, reading)
    if problems:
        raise SceneError(file, problems)
    return reading.root, reading.lines


class _Statements:
    """The tables as far as they have been read."""

    def __init__(self) -> None:
        self.root: Tables = {}
        self.lines: dict[Path, int] = {}
        self.problems: list[Problem] = []
        self.table: Path = ()
        self.headers: dict[Path, int] = {}
        self.tables: dict[int, Path] = {}  # the table that each line writes in
        self.broken = False  # the header above was not understood: its keys have no home

    def line(self, number: int, row: str) -> None:
        """Take one line in."""
        self.number = number
        if not row or row.startswith("#"):
            return
        if len(row) > LONGEST_LINE:
            self._say(f"the line has {len(row)} characters; at most {LONGEST_LINE}")
        elif row.partition("=")[0].count(".") > 40:
            self._say("nested too deeply")
        elif row.startswith("[["):
            self.broken = True
            name = row.split("#")[0].strip("[] ")
            self._say(f"[[{name}]] is a list; number or name the table, as in [{name}.1]")
        else:
            self._statement(row)

    def _statement(self, row: str) -> None:
        """Take in a header or a key with its value."""
        try:
            found = tomllib.loads(row)
        except (ValueError, RecursionError) as error:  # TOMLDecodeError is a ValueError
            self._say(what_is_wrong(row, error))
            self.broken = self.broken or row.startswith("[")
            return
        if row.startswith("["):
            self._header(keys_of(found))
        elif not self.broken:
            self._put(self.table, found)

    def _header(self, table: Path) -> None:
        """Begin a table."""
        self.table, self.broken = table, len(table) > DEEPEST
        self.tables[self.number] = table
        if self.broken:
            self._say("nested too deeply")
            return
        if table in self.headers:
            first = self.headers[table]
            self._say(f"[{'.'.join(table)}] is written twice, first on line {first}")
        self.headers.setdefault(table, self.number)
        self._reach(table)

    def _reach(self, table: Path) -> Tables | None:
        """Return the table at a path, made where it is not there yet."""
        here = self.root
        for depth, key in enumerate(table, 1):
            here = here.setdefault(key, {})
            line = self.lines.setdefault(table[:depth], self.number)
            if not isinstance(here, dict):
                name = ".".join(table[:depth])
                self._say(f"{name} is a value on line {line} and a table here")
                return None
        return here

    def _put(self, table: Path, found: Tables) -> None:
        """Put keys and values into a table."""
        here = self._reach(table)
        if here is None:
            return
        self.tables[self.number] = table
        for key, value in found.items():
            path = (*table, key)
            if len(path) > DEEPEST:
                self._say("nested too deeply")
            elif isinstance(value, list):
                self._say(f"{key} is a list; a scene has none")
            elif isinstance(value, dict) and isinstance(here.get(key, {}), dict):
                self._put(path, value)
            elif key in here:
                self._say(f"{key} is written twice, first on line {self.lines[path]}")
            else:
                here[key] = value
                self.lines[path] = self.number

    def _say(self, text: str) -> None:
        self.problems.append(Problem(self.number, text))


def path_text(path: Path) -> str:
    """Return a path as a scene writes it, names in quotes where they need them."""
    return ".".join(step if _BARE.fullmatch(step) else quoted(step) for step in path)


def quoted(text: str) -> str:
    """Return text in quotes, as a scene writes it."""
    return json.dumps(text, ensure_ascii=False)


def written(value: object) -> str:
    """Return a value as a scene writes it: all but true and false in quotes."""
    return str(value).lower() if isinstance(value, bool) else quoted(str(value))


def keys_of(found: Tables) -> Path:
    """Return the keys of tables that hold one key each."""
    keys: list[str] = []
    while found:
        ((key, found),) = found.items()
        keys.append(key)
    return tuple(keys)


def _whole(text: str, rows: list[str], reading: _Statements) -> list[Problem]:
    """Return what TOML refuses although every line is right: one table written in two ways."""
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = re.search(r"at line (\d+)", str(error))
        written = (n for n, row in enumerate(rows, 1) if row.strip() and row.strip()[0] != "#")
        line = int(place[1]) if place else max(written, default=0)
        table = reading.tables.get(line, ())
        while len(table) > 1 and reading.lines.get(table, line) >= line:
            table = table[:-1]
        begun = f"{'.'.join(table)} was begun in another way on line {reading.lines.get(table, 0)}"
        together = "write its keys together, either under one header, or with dots, or in braces"
        return [Problem(line, f"{begun}; {together}")]
    return []
