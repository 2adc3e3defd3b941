"""Tables and words as lines of a terminal."""

from __future__ import annotations

import re
from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # a check prints lines, and does without the report
    from sim.show.report.pages import Table


TO_WRITE = re.compile(r'[\w.]+ = "[^"]*",?')  # a line of a scene, which people copy
UNBROKEN = "\N{NO-BREAK SPACE}"


def table_lines(table: Table, width: int) -> Iterator[str]:
    """Yield rows and note of a table of which the second column may be too wide to stand beside.

    Args:
        table: The table.
        width: Most columns of a line [-].
    """
    lines = (table.head, *table.rows)
    widths = [max(len(row[k]) for row in lines) for k in range(len(table.head))]
    below = sum(widths) + 2 * len(widths) > width
    for row in lines:
        cells = [cell.ljust(size) for cell, size in zip(row, widths, strict=True)]
        yield "  " + "  ".join(cells[:1] + cells[1 + below :]).rstrip()
        if below and row is not table.head:
            yield from indented(row[1], "      ", width)
    yield from indented(table.note, "  ", width)


def indented(text: str, indent: str, width: int) -> list[str]:
    """Return words as lines of their own.

    Args:
        text: The words.
        indent: What stands ahead of every line [text].
        width: Most columns of a line [-].
    """
    return wrap(text, width, initial_indent=indent, subsequent_indent=indent)


def unbroken(text: str) -> str:
    """Return words in which no line to write is broken, until ``UNBROKEN`` is a space again."""
    return TO_WRITE.sub(lambda found: found[0].replace(" ", UNBROKEN), text)


def to_copy(text: str, indent: str, width: int) -> list[str]:
    """Return words as lines of their own, with what people copy whole.

    Args:
        text: The words.
        indent: What stands ahead of every line [text].
        width: Most columns of a line [-].
    """
    return [line.replace(UNBROKEN, " ") for line in indented(unbroken(text), indent, width)]
