"""Writing outputs: to a temporary name first, then moved into place; plain names only."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path
from tempfile import NamedTemporaryFile

from sim.errors import DomainError

_PLAIN = re.compile(r"[^\W_][\w .+-]*", re.UNICODE)
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\..*)?")


def plain_name(name: str) -> str:
    """Return a name that is safe as one file or folder, or refuse it.

    Args:
        name: As in "two-piece" or "sweep.csv".

    Raises:
        DomainError: If it holds a path, a control character, or starts or ends oddly.
    """
    fits = _PLAIN.fullmatch(name) and len(name) <= 100 and not name.endswith((".", " "))
    if not fits or _RESERVED.fullmatch(name):
        raise DomainError(
            f'"{name}" cannot be the name of a file; use letters, digits, spaces, "-", "+", "." '
            "and start with a letter or digit"
        )
    return name


def write_with(path: Path, fill: Callable[[Path], None]) -> Path:
    """Let a function write a file under a temporary name, then move it into place.

    A run that is killed leaves no half file; what stood there before lends its permissions.

    Args:
        path: Where the file belongs; its folder is made.
        fill: Writes the file that it is given.

    Returns:
        The path.

    Raises:
        DomainError: If the file name is not plain.
    """
    plain_name(path.name)
    path.parent.mkdir(parents=True, exist_ok=True)
    with NamedTemporaryFile(
        dir=path.parent, prefix=".", suffix=f".part{path.suffix}", delete=False
    ) as handle:
        temporary = Path(handle.name)
    try:
        fill(temporary)
        temporary.chmod(path.stat().st_mode if path.exists() else 0o666 & ~_umask())
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)
    return path


def write_bytes(path: Path, content: bytes) -> Path:
    """Write bytes to a file, all or nothing.  See ``write_with``."""

    def fill(temporary: Path) -> None:
        temporary.write_bytes(content)

    return write_with(path, fill)


def write_text(path: Path, content: str) -> Path:
    """Write text as UTF-8 with plain line ends, all or nothing.  See ``write_with``."""
    return write_bytes(path, content.encode("utf-8"))


def append_text(path: Path, content: str, *, head: str = "") -> bool:
    """Add text at the end of a file, in one piece; nothing that stands there is touched.

    Args:
        path: Where the file belongs; its folder is made.
        content: What to add [text], ending in a line end.
        head: What a new file begins with [text].

    Returns:
        Whether it was added; not where the file holds it already.

    Raises:
        DomainError: If the file name is not plain.
    """
    plain_name(path.name)
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("a+b") as file:  # every write goes to the end, whoever else writes
        file.seek(0)
        there = file.read()
        added = content.encode("utf-8")
        if added in there:
            return False
        before = head.encode("utf-8") if not there else b"" if there.endswith(b"\n") else b"\n"
        file.write(before + added)
    return True


def _umask() -> int:
    """Return the umask, which can only be read by setting it."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
