"""Tables on what each millimeter does: how far each may be off, and what one step changes."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sim.display import Display
from sim.explore.effects import Effects
from sim.show.effect_words import (
    broken_words,
    change_words,
    first_words,
    number_words,
    off_words,
    one_step,
    read_too_coarsely,
    until_words,
)
from sim.show.report.pages import Table

AS_CUT = "The shafts keep the lengths that they have here, as cut."


def effect_tables(effects: Effects, display: Display) -> tuple[Table, ...]:
    """Return what the report says of what each millimeter does.

    Args:
        effects: Of one configuration.
        display: Units shown.
    """
    return (limits_table(effects), *numbers_tables(effects, display))


def limits_table(effects: Effects) -> Table:
    """Return how far each may go before a limit gives way, the nearest first.

    Args:
        effects: Of one configuration.
    """
    rows = [
        (
            effect.step.name,
            first_words(effect),
            *(until_words(effect, way) for way in (0, 1)),
            off_words(effect),
        )
        for effect in effects.effects
    ]
    coarse = any(read_too_coarsely(effect) for effect in effects.effects)
    return Table(
        "How far each may be off before a limit gives way",
        ("what", "first to give way", "one way", "the other", "read to"),
        tuple(rows),
        " ".join(
            filter(
                None,
                (
                    AS_CUT,
                    "! The reading may be off by more than that." if coarse else "",
                    broken_words(effects),
                    *effects.notes,
                ),
            )
        ),
    )


def numbers_tables(effects: Effects, display: Display, width: int | None = None) -> list[Table]:
    """Return by how much one step changes angles, spline and fluctuation.

    Args:
        effects: Of one configuration.
        display: Units shown.
        width: Most columns of a line [-]: what does not fit goes into a table of its own.
    """
    shown = [n for n, number in enumerate(effects.numbers) if number.short]
    rows = [
        ("as it stands", *(number_words(effects.numbers[n], display) for n in shown)),
        *(
            (
                one_step(e.step),
                *(change_words(e.change[n], effects.numbers[n], display) for n in shown),
            )
            for e in effects.effects
        ),
    ]
    head = ("one step", *(effects.numbers[n].short for n in shown))
    notes = dict.fromkeys(f"{e.step.part}: {e.step.note}." for e in effects.effects if e.step.note)
    title = (
        "What one step does: joint angles at ride height, at most [deg]; least gap, engaged "
        f"[{display.length.name}]; uneven [%]"
    )
    note = " ".join(note[:1].upper() + note[1:] for note in notes)
    *first, last = _parts(head, rows, width)
    return [*(Table(title, *part) for part in first), Table("" if first else title, *last, note)]


def _parts(
    head: tuple[str, ...], rows: Sequence[tuple[str, ...]], width: int | None
) -> list[tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]]:
    """Return a table in as many parts as it takes to fit, each with the first column."""
    sizes = [2 + max(len(row[k]) for row in (head, *rows)) for k in range(len(head))]
    parts, room = [[0]], (width or math.inf) - sizes[0] - 2
    left = room
    for k in range(1, len(head)):
        if sizes[k] > left and parts[-1] != [0]:
            parts.append([0])
            left = room
        parts[-1].append(k)
        left -= sizes[k]
    return [
        (tuple(head[k] for k in part), tuple(tuple(row[k] for k in part) for row in rows))
        for part in parts
    ]
