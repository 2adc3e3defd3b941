"""The short list of designs for machines."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.display import DEGREES, Unit, display_of, to_si
from sim.explore.choose import Chosen
from sim.explore.choose_reasons import Nothing
from sim.explore.choose_trial import Choice
from sim.judge.rule import RuleSet
from sim.scene.parts import Scene
from sim.show.answer_felt import felt_of
from sim.show.choices import (
    buys_words,
    costs_words,
    holes_of,
    looked_at,
    note_words,
    title,
)


def choice_json(
    scene: Scene,
    rules: RuleSet,
    chosen: Chosen,
    nothing: Nothing | None,
    written: str | None,
) -> dict[str, Any]:
    """Return the short list for machines; the fields are listed in DEVELOPERS.md."""
    return {
        "scene": scene.name,
        "title": scene.title,
        "rule_set": rules.name,
        "looked_at": looked_at(chosen),
        "designs": [
            _choice(choice, scene) | {"complaints": felt}
            for choice, felt in zip(chosen.choices, felt_of(scene, chosen.choices), strict=True)
        ],
        "notes": list(note_words(chosen, nothing)),
        "in_the_way": "" if nothing is None else nothing.sentence,
        "least": None
        if nothing is None or not nothing.opens
        else {"changes": list(nothing.lines), "says": nothing.opens},
        "written": written,
    }


def _choice(choice: Choice, scene: Scene) -> dict[str, Any]:
    """Return one design for machines."""
    display = display_of(scene.display)
    angle, joint = choice.worst_angle
    near = choice.nearest
    return {
        "title": title(choice, scene),
        "starts_from": choice.base.like,
        "lines": list(choice.base.written(choice.lines, "x").lines),
        "shafts": choice.base.shafts,
        "parts": choice.parts,
        "holes": holes_of(choice) or None,
        "series": choice.series,
        "whirl": _shown(to_si(choice.whirl, "km/h"), display.speed)
        if np.isfinite(choice.whirl)
        else None,
        "worst_joint": {"joint": joint, "angle": _shown(angle, DEGREES)},
        "clearance": None
        if near is None
        else {"between": near[1], "distance": _shown(near[0], display.length)},
        "buys": buys_words(choice, scene),
        "costs": costs_words(choice),
        "watch": [f"{f.what} ({f.where})" for f in choice.watches],
    }


def _shown(value: float, unit: Unit) -> dict[str, Any]:
    """Return a number in SI and as a reader is shown it."""
    return {"si": float(value), "value": round(unit.of(float(value)), 6), "unit": unit.name}
