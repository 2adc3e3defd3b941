"""A configuration appended to the text of a scene; every byte that was there stays."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path as FilePath

from sim.errors import Problem, SceneError, printable
from sim.scene.header import OWN
from sim.scene.keys import NAME
from sim.scene.reader import read_scene
from sim.scene.text import decode, path_text, quoted, statements
from sim.scene.words import NAME_RULE, quote


@dataclass(frozen=True, slots=True, kw_only=True)
class Addition:
    """A configuration to be written into a scene.

    Attributes:
        name: Its name, which no other configuration has.
        lines: What it changes or has of its own, as in 'bearing.1.up = "534 ± 3 mm"'.
        like: Name of the configuration that it starts from; "" for one that starts from the shared
            part alone.
        same_shafts_as: The same, of the one whose shafts, already cut, it carries; or "".
        about: A sentence for the report, or "".
        comment: Lines of a comment ahead of it, without their "#".
    """

    name: str
    lines: tuple[str, ...]
    like: str = ""
    same_shafts_as: str = ""
    about: str = ""
    comment: tuple[str, ...] = ()


def appended(raw: bytes, file: str, new: Addition, folder: FilePath | None = None) -> bytes:
    """Return the bytes of a scene with one more configuration at its end.

    What was there stays byte by byte; the new lines end as those do.  The result was read back.

    Args:
        raw: The bytes of a valid scene.
        file: Name of the file, for messages [text].
        new: The configuration.
        folder: Where the file is, and with it a shop's own rules.

    Returns:
        The bytes.

    Raises:
        SceneError: If the name is taken or cannot be one, or the scene is refused with it.
    """
    check_name(raw, file, new.name)
    end = "\r\n" if b"\r\n" in raw else "\r" if b"\r" in raw and b"\n" not in raw else "\n"
    gap = end if raw.endswith((b"\n", b"\r")) else 2 * end
    whole = raw + "".join((gap, *(line + end for line in _written(new)))).encode()
    read_scene(whole, file, folder=folder)
    return whole


def check_name(raw: bytes, file: str, name: str) -> None:
    """Refuse a name that a new configuration of a scene cannot have.

    Raises:
        SceneError: If it cannot be one, or is taken, in other capitals too.
    """
    taken = statements(decode(raw, file), file)[0].get("configuration", {})
    twin = next((other for other in taken if other.lower() == name.lower()), None)
    if not re.fullmatch(NAME, name):
        raise SceneError(file, [Problem(0, f"configuration {quote(name)}: {NAME_RULE}")])
    if twin is not None:
        said = f'there is a configuration "{twin}" already; give the new one another name'
        raise SceneError(file, [Problem(0, said)])


def _written(new: Addition) -> list[str]:
    """Return the lines of a configuration."""
    said = [f"# {printable(line)}".rstrip() for line in new.comment]
    said.append(f"[{path_text(('configuration', new.name))}]")
    for word in OWN:
        if value := getattr(new, word):
            said.append(f"{word} = {quoted(value)}")
    return [*said, *new.lines]
