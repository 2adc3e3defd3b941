"""Words for what a file holds: paths, values, choices and near misses."""

from __future__ import annotations

import difflib
import functools
from collections.abc import Collection, Iterator, Sequence
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from sim.display import DisplayName
from sim.errors import printable
from sim.scene.fields import limits_of
from sim.scene.hung import Setup
from sim.scene.text import Path, Tables

NUMBERED = ("shaft", "bearing", "joint")
NAMED = ("obstacle", "torque_case", "output_move", "road_speed", "height", "duty", "complaint")
TOP = ("format", "title", "datum", "display", "rules", "about", "compare")

SYNONYMS = {  # words that people write for our keys
    "od": "outside",
    "diameter": "outside",
    "outer_diameter": "outside",
    "dia": "outside",
    "inside": "outside",
    "thickness": "wall",
    "wall_thickness": "wall",
    "x": "aft",
    "y": "right",
    "z": "up",
    "station": "aft",
    "height": "up",
    "rear": "aft",
    "offset": "right",
    "angle": "slope",
    "pitch": "slope",
    "yaw": "plan_angle",
    "gear_ratio": "axle_ratio",
    "ratio": "axle_ratio",
    "tyre_radius": "tire_radius",
    "wedge": "nose_up",
    "shim": "nose_up",
    "rebound": "droop",
    "jounce": "bump",
    "type": "kind",
    "name": "title",
    "engagement": "engaged",
    "slip": "spline",
    "tooth": "teeth",
    "tooth_count": "teeth",
    "carrier": "bearing",
    "yoke": "joint",
    "u_joint": "joint",
    "driveshaft": "shaft",
    "based_on": "like",
    "base": "like",
    "inherits": "like",
    "from_configuration": "like",
    "note": "about",
    "description": "about",
    "redline": "engine_cut_off",
    "mu": "tire_grip",
    "grip": "tire_grip",
    "phasing": "phase",
    "stub": "to_joint",
    "traction_bar": "wrap_control",
    "units": "display",
    "speed": "road_speed",
}
FOLLOWS = {  # keys that people write, and that follow from others
    "wheelbase": "the place of [axle] says it",
    "ground_height": "it follows from [axle] and tire_radius",
    "pieces": "the shafts are counted",
    "center": "write aft, right and up themselves",
    "centre": "write aft, right and up themselves",
    "position": "write aft, right and up themselves",
    "joint_angle": "it is computed from the slopes and places",
    "critical_speed": "it is computed from tube and length",
    "datum": "it stands at the top of the file, for all places",
}


def quote(value: object) -> str:
    """Return a value as written, shortened, safe to print.

    Args:
        value: What the file holds.

    Returns:
        Its words, texts in quotes [text].
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if not isinstance(value, str):
        shown = str(value)
        return shown if len(shown) <= 20 else shown[:20] + "…"
    shown = printable(value[:60])
    return f'"{shown}{"…" if len(value) > 60 else ""}"'


def one_of(word: str, allowed: Sequence[str]) -> str:
    """Return what is allowed in place of a word, and the nearest of it.

    Args:
        word: What was written [text].
        allowed: The choices.

    Returns:
        As in "allowed: leaf, links; did you mean leaf?" [text].
    """
    near = difflib.get_close_matches(word.lower(), allowed, 1, 0.6)
    listed = ", ".join(allowed[:8])
    return f"allowed: {listed}" + (f"; did you mean {near[0]}?" if near else "")


def part_name(path: Path) -> str:
    """Return a path in words: ("shaft", "2", "tube", "wall") is "shaft 2, tube.wall".

    Args:
        path: Keys of a set-up.

    Returns:
        The words [text].
    """
    if len(path) >= 2 and path[0] in NUMBERED:
        head, rest = f"{path[0]} {path[1]}", path[2:]
    elif len(path) >= 2 and path[0] in NAMED:
        head, rest = f"{path[0].replace('_', ' ')} {quote(path[1])}", path[2:]
    elif len(path) >= 3 and path[1] == "reading":
        head, rest = f"suspension, reading {path[2]}", path[3:]
    elif path in (("shaft",), ("bearing",)):
        return f"{path[0]}s"
    else:
        return ".".join(path)
    return head + (", " + ".".join(rest) if rest else "")


def suggest(key: str, here: Collection[str]) -> str:
    """Return what may have been meant by a key that is not known.

    Args:
        key: The key [text].
        here: Keys that are known in its table.

    Returns:
        A hint [text]: the nearest key here, or the table where it belongs, or the keys here.
    """
    lower = key.lower().replace("-", "_")[:60]
    word = SYNONYMS.get(lower, "")
    close = difflib.get_close_matches(lower, here, 1, 0.6)
    for meant in (lower, word):
        if meant in here:
            return f"did you mean {meant}?"
    if lower in FOLLOWS:
        return FOLLOWS[lower]
    if close:
        return f"did you mean {close[0]}?"
    if lower in Setup.model_fields and lower != "series":
        return f"{lower} is a table of its own: write it above this header, or under its own"
    home = _homes().get(lower) or _homes().get(word)
    return f"it belongs {home}" if home else "known here: " + ", ".join(list(here)[:14])


@functools.cache
def _homes() -> dict[str, str]:
    """Return where each key belongs, in words."""
    homes: dict[str, str] = {}
    for name, field in Setup.model_fields.items():
        for member in _members(field.annotation):
            for key in member.model_fields:
                homes.setdefault(key, f"in {name}.1" if name in NUMBERED else f"in [{name}]")
    top = "at the top of the file, above the first header"
    return homes | dict.fromkeys(TOP, top) | {"series": f"{top}, or in a configuration"}


def tables(model: type[BaseModel]) -> set[type[BaseModel]]:
    """Return a table and every table inside it.

    Args:
        model: The table.

    Returns:
        All of them.
    """
    inner = {m for f in model.model_fields.values() for m in _members(f.annotation)}
    return {model}.union(*(tables(member) for member in inner))


def _members(annotation: Any) -> Iterator[type[BaseModel]]:
    """Yield the models inside an annotation."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
        return
    for inner in get_args(annotation):
        yield from _members(inner)


def known_keys(path: Path, tables: Tables) -> dict[str, FieldInfo]:
    """Return the keys that may stand in the table at a path, by the models.

    Args:
        path: Keys of the table.
        tables: The set-up as written; its ``kind`` narrows the keys.

    Returns:
        Key to its declaration.
    """
    here: list[type[BaseModel]] = [Setup]
    data: Any = tables
    named = False  # whether the step is a name or a number, not a key
    for step in path:
        fields = {(f.alias or n): f for model in here for n, f in model.model_fields.items()}
        data = data.get(step, {}) if isinstance(data, dict) else {}
        if named or step not in fields:
            named = False
            continue
        annotation = fields[step].annotation
        here, named = list(_members(annotation)), get_origin(annotation) is dict
    kind = data.get("kind") if isinstance(data, dict) else None
    chosen = [model for model in here if _is_kind(model, kind)] or here
    return {(f.alias or n): f for model in chosen for n, f in model.model_fields.items()}


def _is_kind(model: type[BaseModel], kind: object) -> bool:
    """Return whether a model is the one for a ``kind``."""
    field = model.model_fields.get("kind")
    return field is not None and kind in get_args(field.annotation)


def example_of(
    table: Path, key: str, tables: Tables, display: DisplayName = "metric"
) -> tuple[str, str]:
    """Return what a key means, and how it is written.

    Args:
        table: Path of its table.
        key: The key [text].
        tables: The set-up as written.
        display: Units of the example.

    Returns:
        Meaning and example, as in ("loaded radius", 'tire_radius = "395 mm"'); "" if none.
    """
    field = known_keys(table, tables)[key]
    what = (field.description or "").split(";")[0].split(":")[0].rstrip(".")
    what = what[:1].lower() + what[1:]
    limits = limits_of(field)
    return what, f'{key} = "{limits.in_display(limits.example, display)}"' if limits else ""
