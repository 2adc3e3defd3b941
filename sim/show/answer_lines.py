"""The answer as lines for a terminal, and as JSON for machines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from textwrap import wrap
from typing import Any

from sim.display import on_tape
from sim.show.answer import Answer
from sim.show.answer_words import Line

WIDTH = 110
_NAMES = 16  # columns of the first part of a line


def answer_lines(answer: Answer, width: int = WIDTH) -> Iterator[str]:
    """Yield the answer for a terminal: about 30 lines.

    Args:
        answer: What to say.
        width: Most columns of a line [-].
    """
    yield from wrap(f"{answer.scene.title}: {_clause(answer.headline)}", width)
    yield from wrap(answer.why, width)
    if answer.write:
        yield from wrap(answer.changed, width)
    yield from _named("In the way", answer.in_the_way, width)
    yield from _named("Lengths", [length_line(answer)] if answer.spans else [], width)
    hung = list(hang_lines(answer))
    if any(hang.sags(answer.display) for hang in answer.hangs):  # room for what it takes
        hung[-2:] = ["; ".join(hung[-2:])]
    yield from _named("Hang", hung, width)
    keys = max(len(line.key) for line in (*answer.matters, *answer.order)) + 2
    for line in answer.matters:
        yield from _line(line, keys, width)
    yield from _named("Complaints", [answer.felt] if answer.felt else [], width)
    for line in answer.order:
        yield from _line(line, keys, width)
    before = "Before drilling" if answer.hangs else "Before ordering"
    yield from _named(before, answer.before, width)
    yield from _named("Not settled", answer.unsettled, width)
    yield from wrap(answer.holds, width)


def _clause(headline: str) -> str:
    """Return a headline that goes on behind a colon."""
    return f"{headline[:1].lower()}{headline[1:]}"


def length_line(answer: Answer) -> str:
    """Return the lengths along the shafts in one line; "" where there are none."""
    return ", ".join(
        f"{one.start.name} to {one.end.name} {on_tape(one.length, answer.display.name)}"
        for one in answer.spans
    )


def hang_lines(answer: Answer) -> Iterator[str]:
    """Yield where each bearing hangs, in words."""
    for hang in answer.hangs:
        near = " ".join(f"{length} {words}" for length, words in hang.by_tape(answer.display))
        also = hang.from_rails(answer.display) if hang.hook else ()
        datum = f"from the datum {hang.from_datum(answer.display)}"
        said = (near.rstrip(","), *also, *hang.sags(answer.display), datum)
        yield f"bearing {hang.number}: {'; '.join(said)}"
    if answer.hangs:
        yield f"datum: {answer.scene.datum}"


def _line(line: Line, keys: int, width: int) -> list[str]:
    """Return a line with its number in a column of so many letters."""
    head = f"{line.name:<{_NAMES}}{line.key:<{keys}}"
    return wrap(line.words, width, initial_indent=head, subsequent_indent=" " * len(head))


def _named(name: str, lines: Sequence[str], width: int) -> Iterator[str]:
    """Yield sentences behind a name; nothing where there are none."""
    for number, line in enumerate(lines):
        head = name if not number else ""
        yield from wrap(
            line,
            width,
            initial_indent=f"{head:<{_NAMES}}",
            subsequent_indent=" " * _NAMES,
        )


def answer_json(answer: Answer, files: Sequence[Path], troubles: Sequence[str]) -> dict[str, Any]:
    """Return the answer for machines.

    Args:
        answer: What to say.
        files: Written.
        troubles: What could not be done, a sentence each.
    """
    unit = answer.display.length

    def length(value: float) -> dict[str, Any]:
        return {"si": value, "value": round(unit.of(value), 3), "unit": unit.name}

    return {
        "scene": answer.scene.name,
        "configuration": answer.name,
        "headline": answer.headline,
        "why": answer.why,
        "sound": answer.sound,
        "write": list(answer.write),
        "in_the_way": list(answer.in_the_way),
        "lengths": [
            {"from": one.start.name, "to": one.end.name, **length(one.length)}
            for one in answer.spans
        ],
        "hang": [
            {
                "bearing": hang.number,
                "aft": length(float(hang.place[0])),
                "right": length(float(hang.place[1])),
                "up": length(float(hang.place[2])),
                "hook": None
                if hang.hook is None
                else {
                    "name": hang.hook.name,
                    "face": hang.hook.face,
                    "ahead": length(hang.along),
                    "below": length(hang.below),
                },
                "above_rail": {
                    rail.side: length(float(hang.place[2]) - rail.up) for rail in hang.rails
                },
                "sags": dict(
                    zip(("usual", "least", "most"), map(length, hang.sag.down), strict=True)
                )
                if hang.sag.planned
                else None,
            }
            for hang in answer.hangs
        ],
        "matters": [_json(line) for line in answer.matters],
        "complaints": answer.felt,
        "order": [_json(line) for line in answer.order],
        "before_drilling": list(answer.before),
        "not_settled": list(answer.unsettled),
        "holds_for": answer.holds,
        "files": [str(file) for file in files],
        "not_done": list(troubles),
    }


def _json(line: Line) -> dict[str, str]:
    """Return a line for machines."""
    return {"name": line.name, "key": line.key, "words": line.words}
