"""What each millimeter does: lines for a terminal, JSON for machines, the whole table as a file."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from sim.display import READERS, DisplayName, display_of, to_si
from sim.explore.effects import Effect, Effects, Flip
from sim.scene.parts import Scene
from sim.show.effect_words import (
    first_words,
    move_words,
    off_words,
    one_step,
    until_words,
)
from sim.show.files import write_text
from sim.show.lines import table_lines
from sim.show.machine import amount_json
from sim.show.report.effects import AS_CUT, limits_table, numbers_tables

EXTRA_DIGITS = 3  # decimals more than a reader of the report needs
NOTHING = 1e-9


def effects_lines(scene: Scene, found: Sequence[Effects], width: int) -> Iterator[str]:
    """Yield what each millimeter does, a line each.

    Args:
        scene: The scene.
        found: One a configuration.
        width: Most columns of a line [-].
    """
    yield f"{scene.title}, judged by {found[0].rule_set}"
    for effects in found:
        tables = (limits_table(effects), *numbers_tables(effects, display_of(scene.display), width))
        yield ""
        yield effects.configuration
        for table in tables:
            yield ""
            if table.title:
                yield f" {table.title}"
            yield from table_lines(table, width)
    yield ""


def write_effects(effects: Effects, folder: Path, display: DisplayName) -> Path:
    """Write ``effects.csv``: a row for every number and every limit that moves, a column a step.

    Args:
        effects: Of one configuration.
        folder: Where it belongs, as in outputs/<scene>/<configuration>.
        display: Units shown.

    Returns:
        The file written.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    steps = [effect.step for effect in effects.effects]
    writer.writerow(
        ["what", "of", "unit", "as it stands", "limit", "room", "verdict", *map(one_step, steps)]
    )
    for n, number in enumerate(effects.numbers):
        changes = [effect.change[n] for effect in effects.effects]
        writer.writerow(
            [
                number.name,
                "",
                *_cells(number.unit, display, number.value, None, None),
                "",
                *_changes(number.unit, display, changes),
            ]
        )
    for n, limit in enumerate(effects.limits):
        changes = [effect.room[n] for effect in effects.effects]
        if np.nanmax(np.abs(changes)) > NOTHING:
            stands = _cells(limit.unit, display, limit.value, limit.limit, limit.room)
            writer.writerow(
                [
                    f"room to: {limit.rule}",
                    limit.where,
                    *stands,
                    limit.verdict,
                    *_changes(limit.unit, display, changes),
                ]
            )
    for what, words in (
        ("one way until", lambda e: until_words(e, 0)),
        ("the other until", lambda e: until_words(e, 1)),
        ("first to give way", first_words),
        ("read to", off_words),
    ):
        writer.writerow([what, "", "", "", "", "", "", *map(words, effects.effects)])
    return write_text(folder / "effects.csv", text.getvalue())


def _cells(unit: str, display: DisplayName, *values: float | None) -> list[str]:
    """Return the unit shown, then values in it; "" for none."""
    return [
        READERS[display][unit].name,
        *("" if v is None else _number(unit, display, v) for v in values),
    ]


def _changes(unit: str, display: DisplayName, values: Sequence[float]) -> list[str]:
    return [_number(unit, display, value) for value in values]


def _number(unit: str, display: DisplayName, value: float) -> str:
    """Return a number of a unit of the rules in that shown, plain for a spreadsheet."""
    if not np.isfinite(value):
        return ""
    reader = READERS[display][unit]
    return f"{round(reader.of(to_si(value, unit)), reader.digits + EXTRA_DIGITS) + 0.0:g}"


def effects_json(
    scene: Scene, found: Sequence[Effects], files: Sequence[Path], troubles: Sequence[str] = ()
) -> dict[str, Any]:
    """Return what each millimeter does, for machines.

    Args:
        scene: The scene.
        found: One a configuration.
        files: Every file written.
        troubles: What could not be done, a sentence each.
    """
    return {
        "scene": scene.name,
        "title": scene.title,
        "display": scene.display,
        "shafts": AS_CUT,
        "configurations": [_configuration(effects, scene.display) for effects in found],
        "files": [file.as_posix() for file in files],
        "not_done": list(troubles),
    }


def _configuration(effects: Effects, display: DisplayName) -> dict[str, Any]:
    """Return the effects on one configuration."""

    def amounts(unit: str, *values: float) -> list[dict[str, Any] | None]:
        reader = READERS[display][unit]
        return [amount_json(to_si(v, unit), reader) if np.isfinite(v) else None for v in values]

    return {
        "name": effects.configuration,
        "rule_set": effects.rule_set,
        "numbers": [
            {"name": n.name, "as_it_stands": amounts(n.unit, n.value)[0]} for n in effects.numbers
        ],
        "limits": [
            {"rule": one.rule, "where": one.where, "what": one.what, "verdict": one.verdict,
             "may_fail": one.may_fail}
            | dict(zip(("value", "limit", "room"),
                       amounts(one.unit, one.value, one.limit, one.room), strict=True))
            for one in effects.limits
        ],
        "steps": [
            _effect(effect)
            | {
                "changes": [
                    amounts(n.unit, float(c))[0]
                    for n, c in zip(effects.numbers, effect.change, strict=True)
                ],
                "room_changes": [
                    amounts(one.unit, float(c))[0]
                    for one, c in zip(effects.limits, effect.room, strict=True)
                ],
            }
            for effect in effects.effects
        ],
        "notes": list(effects.notes),
    }  # fmt: skip


def _effect(effect: Effect) -> dict[str, Any]:
    """Return a step, and where limits give way or are kept again."""
    step = effect.step

    def flip(one: Flip | None) -> dict[str, Any] | None:
        if one is None:
            return None
        limit = one.limit
        return {
            "at": amount_json(one.at, step.unit),
            "words": move_words(step, one.at),
            "rule": None if limit is None else limit.rule,
            "where": None if limit is None else limit.where,
        }

    return {
        "name": step.name,
        "one_step": amount_json(step.size, step.unit),
        "more": step.ways[0],
        "less": step.ways[1],
        "note": step.note,
        "followed": [amount_json(step.low, step.unit), amount_json(step.high, step.unit)],
        "read_to": None if step.off is None else amount_json(step.off, step.unit),
        "assumed": step.assumed,
        "breaks": {"less": flip(effect.breaks[0]), "more": flip(effect.breaks[1])},
        "mends": [flip(one) for one in effect.mends],
    }
