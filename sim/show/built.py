"""What readings after the work say, to people and to machines, and the record that is kept of them.

Nothing is printed here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from textwrap import wrap
from typing import Any

from sim.display import DEGREES, DisplayName, display_of
from sim.explore.built import AsBuilt
from sim.explore.built_fit import Compared
from sim.scene.parts import Scene
from sim.scene.readback import DROOP, RIDE, Posture
from sim.show.built_words import (
    OTHERS,
    disagreement,
    drawn_words,
    is_angle,
    outlook_on,
    result_of,
    said,
    sentence,
)
from sim.show.machine import summary_json
from sim.show.outlook import finding_words
from sim.show.summary import TAG, WIDTH

MOST_LINES, LEAST_ROWS, MOST_FINDINGS = 15, 4, 2
NO_CURE = (
    "No shim, slot, hole or wedge was found that cures it; the shafts and holes stay as they are."
)
HEADS = ("", "planned", "read", "the others say")

Ink = Callable[[str, str], str]


def built_lines(
    scene: Scene,
    built: AsBuilt,
    width: int = WIDTH,
    ink: Ink = lambda _, text: text,
    *,
    every: bool = False,
) -> Iterator[str]:
    """Yield what a reader needs: where parts landed, the verdict, what disagrees, what to do.

    Args:
        scene: The scene of the truck.
        built: What was found.
        width: Most columns of a line [-].
        ink: Puts words in color.
        every: Whether to show every reading, those of the scene too.
    """
    above = list(_verdict(scene, built, width, ink))
    below = list(_notes(built, width, ink))
    room = max(LEAST_ROWS, MOST_LINES - len(above) - len(below))
    yield from above
    yield from _table(built, scene.display, None if every else room)
    yield from below


def _verdict(scene: Scene, built: AsBuilt, width: int, ink: Ink) -> Iterator[str]:
    """Yield what it comes to, why, and what to do."""
    display, read = scene.display, built.readback
    outlook = outlook_on(built, display)
    told = f"read by {read.who}, {read.date}" + (f", {read.odometer}" if read.odometer else "")
    yield from wrap(f"{scene.title}, {read.configuration} as built, {told}", width)
    first, *rest = wrap(sentence(built, display), width)
    yield ink(outlook.grade if outlook else "not", first)
    yield from rest
    wrong = disagreement(built, display)
    if wrong:
        yield from _tagged("doubt", wrong, width, ink)
    if outlook is None:
        return
    told_of = [("fails", one) for one in outlook.fails] + [("open", one) for one in outlook.open]
    for tag, headline in told_of[:MOST_FINDINGS]:
        yield from _tagged(tag, finding_words(headline.lead, display), width, ink)
    for watch in drawn_words(built, display):
        yield from _tagged("watch", f"{watch}.", width, ink)
    for doubt in scene.doubts[:1]:
        yield from _tagged("doubt", doubt, width, ink)
    for cure in outlook.cures:
        yield from _tagged("do", f"{cure.does[:1].upper()}{cure.does[1:]}.", width, ink)
    if told_of and not outlook.cures:
        yield from _tagged("do", NO_CURE, width, ink)


def _tagged(tag: str, text: str, width: int, ink: Ink) -> Iterator[str]:
    """Yield a text behind a word that says what it is."""
    indent = " " * (2 + TAG)
    for number, line in enumerate(
        wrap(text, width, initial_indent=indent, subsequent_indent=indent)
    ):
        yield f"  {ink(tag, tag)}{' ' * (TAG - len(tag))}{line[2 + TAG :]}" if not number else line


def _table(built: AsBuilt, display: DisplayName, most: int | None) -> Iterator[str]:
    """Yield planned against read, each with its ±; the farthest off of at most so many readings.

    Without a limit those of the scene come besides.
    """
    rows = list(zip(built.fit.compared, built.fit.predicted, strict=False))
    away = [_away(one, planned) for one, planned in rows]
    shown = sorted(sorted(range(len(rows)), key=lambda k: -away[k])[:most])
    marks = ["*" if built.is_assumed(k) else "" for k in range(len(rows))]
    cells = [HEADS, *(_cells(*rows[k], marks[k], display) for k in shown)]
    if most is None:
        cells += [
            (one.label, "", said(one.path, one.value, one.spread, display), _others(one, display))
            for one in built.fit.compared[len(rows) :]
            if one.kind == "scene" and one.checked and not one.path.endswith(OTHERS)
        ]
    widths = [max(len(row[k]) for row in cells) for k in range(len(HEADS))]
    for row in cells:
        yield ("  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True))).rstrip()
    if len(shown) < len(rows):
        yield f"  {len(rows) - len(shown)} more, nearer to the plan: --all"


def _away(one: Compared, planned: Sequence[float]) -> float:
    """Return how far a reading is from the plan, or from the others if that is more, by its ±."""
    plan = abs(one.value - planned[0]) / (one.spread**2 + planned[1] ** 2) ** 0.5
    return float(max(plan, one.residual / 2))


def _cells(
    one: Compared, planned: Sequence[float], mark: str, display: DisplayName
) -> tuple[str, ...]:
    """Return one line of the table."""
    by_plan = said(one.path, float(planned[0]), float(planned[1]), display)
    read = said(one.path, one.value, one.spread, display) + mark
    return one.label, by_plan, read, _others(one, display)


def _others(one: Compared, display: DisplayName) -> str:
    """Return what the others say of a reading."""
    if not one.checked:
        return "nothing checks it"
    return said(one.path, one.others, one.others_spread, display)


def _notes(built: AsBuilt, width: int, ink: Ink) -> Iterator[str]:
    """Yield what was not read, what calibrates the axle, and which ± is assumed."""
    away = [one.height for one in built.readback.postures if one.height != RIDE]
    if away:
        told = f"What was read at {' and '.join(away)} calibrates the path of the axle."
        yield from _tagged("note", told, width, ink)
    if built.fit.not_read:
        names = ", ".join(built.fit.not_read)
        yield from _tagged(
            "note", f"Not told by what was read, taken as planned: {names}.", width, ink
        )
    if built.readback.assumed:
        assumed = "* No ± is written: that of a protractor or a tape is assumed."
        yield from _tagged("note", assumed, width, ink)


def record_entry(scene: Scene, built: AsBuilt) -> str:
    """Return what is kept of readings: who, when, odometer, every reading, what came of them.

    Args:
        scene: The scene of the truck.
        built: What was found.

    Returns:
        Lines [text].
    """
    read = built.readback
    odometer = read.odometer or "odometer not read"
    lines = [f"{read.date}, {read.who}, {odometer}: {read.configuration} of {scene.title}"]
    lines += [f"  {line}" for posture in read.postures for line in _record_of(posture)]
    words = [sentence(built, scene.display), disagreement(built, scene.display)]
    words += [f"Scene with SHA-256 {scene.digest[:16]}" + _tried(scene)]
    lines += [f"  {line}" for text in words if text for line in wrap(text, WIDTH - 2)]
    return "\n".join(lines) + "\n\n"


def _tried(scene: Scene) -> str:
    """Return what was tried on the scene."""
    return f", tried: {'; '.join(scene.changes)}" if scene.changes else ""


def _record_of(posture: Posture) -> list[str]:
    """Return the readings of one posture as they were written."""
    where = {RIDE: "on the wheels", DROOP: "at full droop"}.get(posture.height, posture.height)
    stood = [one for one in (posture.travel, posture.frame) if one is not None]
    words = [f"{one.path} {one.text}" for one in (*stood, *posture.readings)]
    return wrap(f"{where}: {', '.join(words)}", WIDTH - 2, subsequent_indent="    ")


def built_json(scene: Scene, built: AsBuilt) -> dict[str, Any]:
    """Return the same for machines; the fields are listed in DEVELOPERS.md.

    Args:
        scene: The scene of the truck.
        built: What was found.
    """
    display, read, found = scene.display, built.readback, built.fit
    outlook, result = outlook_on(built, display), result_of(built)
    return {
        "scene": scene.name,
        "configuration": read.configuration,
        "who": read.who,
        "date": read.date,
        "odometer": read.odometer,
        "sentence": sentence(built, display),
        "grade": outlook.grade if outlook else None,
        "contradicts": found.contradicts,
        "misfit": round(found.misfit, 6),
        "limit": round(found.limit, 6),
        "disagrees": [one.label for one in found.suspects],
        "landed": [
            {"path": one.path}
            | {
                name: _amount(one.path, value, display)
                for name, value in (
                    ("planned", one.planned),
                    ("value", one.value),
                    ("spread", one.spread),
                )
            }
            for one in built.landed
        ],
        "readings": [
            _reading_json(one, found.predicted[k] if k < len(found.seen) else None, display)
            for k, one in enumerate(found.compared)
        ],
        "drawn": [_amount("bearing", off, display) for off in built.drawn()],
        "not_read": list(found.not_read),
        "assumed": sorted(read.assumed),
        "cures": [
            {"does": cure.does, "changes": list(cure.changes)}
            for cure in (outlook.cures if outlook else ())
        ],
        "verdict": summary_json(scene, [result], ())["configurations"][0] if result else None,
    }


def _reading_json(
    one: Compared, planned: Sequence[float] | None, display: DisplayName
) -> dict[str, Any]:
    """Return one reading beside what the plan and the others say."""
    values = {"read": one.value, "read_spread": one.spread}
    if one.checked:
        values |= {"others": one.others, "others_spread": one.others_spread}
    if planned is not None:
        values |= {"planned": float(planned[0]), "planned_spread": float(planned[1])}
    amounts = {name: _amount(one.path, value, display) for name, value in values.items()}
    told = {"label": one.label, "path": one.path, "kind": one.kind}
    return told | amounts | {"residual": round(one.residual, 6), "times": round(one.times, 6)}


def _amount(path: str, value: float, display: DisplayName) -> dict[str, Any]:
    """Return a number in SI and as a reader is shown it; of a rate or a load in SI only."""
    if path.endswith(OTHERS):
        return {"si": value, "value": None, "unit": ""}
    unit = DEGREES if is_angle(path) else display_of(display).length
    return {"si": value, "value": round(unit.of(value), 6), "unit": unit.name}
