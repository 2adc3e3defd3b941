"""The text of a scene out of what was answered: commented, in the order of the reader's keys."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from sim.scene.header import FORMAT, TOP
from sim.scene.keys import NUMBER, FlagKey, Key, QuantityKey
from sim.scene.questions import LEFT_OUT, is_own
from sim.scene.table import NamedKey, Table, TableKey, table_at
from sim.scene.tables.setup import Setup
from sim.scene.text import Path, Tables, path_text, quoted

COLUMN, WIDE = 40, 100  # where comments begin, and where lines end
HUNG = ("series", "shaft", "bearing", "joint", "spline", "output_spline")  # in a configuration
NAMES = {"1": "one-piece", "2": "two-piece", "3": "three-piece"}
HEAD = """\
# Everything right of an equals sign is in quotes, with its unit.  One reading, one line.
{}
# Places: aft or forward, right or left, up or down, all from the datum; never a minus sign.
# Slopes: front end higher is positive.
"""
TAPE = {
    "metric": '# A reading may say how far off it may be: "3.0 ± 0.25 deg" (or +/-).',
    "inch": '# Tape fractions are written as the tape shows them: "61-1/2 in".  Decimals work too: '
    '"0.083 in".\n# A reading may say how far off it may be: "2.0 ± 0.1 deg" (or +/-).',
}

Line = tuple[str, tuple[Path, ...]]  # its text, and the paths of the answers in it


def composed(answers: Mapping[Path, str]) -> tuple[str, dict[int, tuple[Path, ...]]]:
    """Return the text of a scene, and the paths of the answers in each of its lines from 1.

    Answers that nothing was known to, and those that only decided on questions, are left out.
    """
    known = {p: a for p, a in answers.items() if a != LEFT_OUT and not is_own(p)}
    if known.get(("suspension", "kind")) == "none":
        del known["suspension", "kind"]
    pieces = len({path[1] for path in known if path[0] == "shaft" and len(path) > 1})
    name = NAMES.get(answers.get(("pieces",), str(pieces)), "as-found")
    shared = _nested({p: a for p, a in known.items() if p[0] not in (*TOP, *HUNG)})
    hung = _nested({p: a for p, a in known.items() if p[0] in HUNG})
    lines: list[Line] = [(line, ()) for line in _head(known)]
    lines += _top(known)
    lines += [("", ()), (_rule("The vehicle: what all configurations share"), ())]
    lines += _table(Setup, shared, ())
    lines += [("", ()), (_rule("What hangs in it, numbered from the front"), ()), ("", ())]
    lines += [(f"[configuration.{name}]", ())]
    lines += _table(Setup, hung, (), ("configuration", name))
    rows = [(row, paths) for text, paths in lines for row in text.split("\n")]
    told = {number: paths for number, (_, paths) in enumerate(rows, 1) if paths}
    return "\n".join(row for row, _ in rows) + "\n", told


def _rule(words: str) -> str:
    return f"# --- {words} ".ljust(WIDE, "-")


def _head(known: Mapping[Path, str]) -> list[str]:
    tape = TAPE.get(known.get(("display",), ""), TAPE["metric"])
    return HEAD.format(tape).split("\n")


def _top(known: Mapping[Path, str]) -> Iterator[Line]:
    """Yield the lines beside the tables."""
    yield f"format = {quoted(FORMAT)}", ()
    for word in TOP:
        if (word,) in known:
            yield f"{word} = {quoted(known[word,])}", ((word,),)


def _nested(answers: Mapping[Path, str]) -> Tables:
    """Return answers by path as tables in tables."""
    root: Tables = {}
    for path, answer in answers.items():
        here: Any = root
        for step in path[:-1]:
            here = here.setdefault(step, {})
        here[path[-1]] = answer
    return root


def _table(
    table: type[Table] | None, data: Tables, path: Path, home: Path = (), explain: bool = True
) -> Iterator[Line]:
    """Yield the lines of a table: values first, then the tables below it, each with its header."""
    keys = table.declared() if table else {}
    order = [word for word in keys if word in data] + [word for word in data if word not in keys]
    headers = [word for word in order if _has_header(keys.get(word), data[word], path)]
    for word in order:
        if word not in headers:
            yield from _value(keys.get(word), (*path, word), data[word], explain)
    for word in headers:
        yield from _below(keys.get(word), data[word], (*path, word), home, explain)


def _has_header(key: Key[Any] | None, data: Any, path: Path) -> bool:
    """Say whether a table is written under a header of its own, else in braces."""
    inner = isinstance(data, dict)
    flat = inner and all(isinstance(value, str) for value in data.values())
    return inner and (not path or isinstance(key, NamedKey) or not flat)


def _below(
    key: Key[Any] | None, data: Tables, path: Path, home: Path, explain: bool
) -> Iterator[Line]:
    """Yield a table with its header, or one for each name or number; the first is explained."""
    if isinstance(key, NamedKey) and not isinstance(key.inner, QuantityKey):
        names = sorted(data) if key.pattern == NUMBER else list(data)
        for name in names:
            if isinstance(data[name], dict):
                first = explain and name == names[0]
                yield from _headed(key, data[name], (*path, name), home, first)
            else:
                yield from _value(None, (*path, name), data[name], explain)
    else:
        yield from _headed(key, data, path, home, explain)


def _headed(
    key: Key[Any] | None, data: Tables, path: Path, home: Path, explain: bool
) -> Iterator[Line]:
    """Yield a header, with what it means where it is no name, and the lines below it."""
    says = key.means if isinstance(key, TableKey) and not isinstance(key, NamedKey) else ""
    yield "", ()
    yield _commented(f"[{path_text((*home, *path))}]", says), ()
    root: Tables = {}
    here = root
    for step in path[:-1]:
        here = here.setdefault(step, {})
    here[path[-1]] = data
    yield from _table(table_at(Setup, path, root), data, path, home, explain)


def _value(key: Key[Any] | None, path: Path, data: Any, explain: bool) -> Iterator[Line]:
    """Yield the line of a value, or of a small table in braces."""
    word = path_text(path[-1:])
    if isinstance(data, dict):
        inner = [one for table in (key.tables() if key else ()) for one in table.declared()]
        order = [*(one for one in inner if one in data), *(one for one in data if one not in inner)]
        pairs = ", ".join(f"{path_text((one,))} = {quoted(data[one])}" for one in order)
        written, paths = f"{word} = {{ {pairs} }}", tuple((*path, one) for one in order)
    else:
        bare = isinstance(key, FlagKey)
        written, paths = f"{word} = {data if bare else quoted(data)}", (path,)
    yield _commented(written, key.means if key and explain else ""), paths


def _commented(line: str, says: str) -> str:
    """Return a line with what it means behind it, or above it where it would be too long."""
    said = says.split(":")[0]
    said = said[:1].lower() + said[1:]
    if not said:
        return line
    beside = f"{line.ljust(COLUMN - 1)}  # {said}"
    if len(beside) <= WIDE:
        return beside
    return "\n".join(
        [*textwrap.wrap(said, WIDE, initial_indent="# ", subsequent_indent="# "), line]
    )
