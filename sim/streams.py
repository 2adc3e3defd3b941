"""Standard output and errors as they are: closed, a pipe, or of an encoding without our signs."""

from __future__ import annotations

import codecs
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO

_PLAIN = {
    "√": "sqrt ", "−": "-", "±": "+/-", "·": "*", "×": "x", "²": "2", "³": "3", "°": " deg",
    "≤": "<=", "≥": ">=", "–": "-", "—": "-", "…": "...", "“": '"', "”": '"', "’": "'",
    "µ": "u", "μ": "mu", "π": "pi", "θ": "theta", "β": "beta", "ω": "omega", "→": "->",
}  # fmt: skip
"""What stands for a sign where a stream cannot carry it."""


@contextmanager
def plain_streams() -> Iterator[None]:
    """Let standard output and errors take any text; close quietly, even on a reader that left."""
    codecs.register_error("halfturn", _spell_out)
    for name in ("stdout", "stderr"):
        stream: TextIO | None = getattr(sys, name)
        if stream is None:  # closed before the program began
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115 (to the end)
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="halfturn")
    try:
        yield
    finally:
        try:
            sys.stdout.flush()
        except OSError:  # what could not be written was told; nothing more at exit
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def harmless(text: str) -> str:
    r"""Return a text whose control characters are shown, not sent to the terminal.

    Args:
        text: Any, as a file name or what a file holds [text].

    Returns:
        The same, with line ends as they are [text].

    Example:
        >>> harmless("a" + chr(27) + "[31mb")
        'a\\u001b[31mb'
    """
    return "".join(c if c.isprintable() or c == "\n" else f"\\u{ord(c):04x}" for c in text)


def _spell_out(error: UnicodeError) -> tuple[str, int]:
    """Return in plain letters what an encoding cannot carry."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    missing = error.object[error.start : error.end]
    return "".join(_PLAIN.get(c, "?") for c in missing), error.end
