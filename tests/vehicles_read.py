"""Shipped scenes as a person would read them off the vehicle: a line for each reading."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

SCENES = Path(__file__).parents[1] / "scenes"
OWN = ("about", "like", "same_shafts_as", "compare", "format", "configuration", "read_again")


def readings(scene: str, configuration: str) -> list[tuple[tuple[str, ...], str]]:
    """Path and value of all that is written for one configuration, its layers laid by hand."""
    root = tomllib.loads((SCENES / f"{scene}.toml").read_text(encoding="utf-8"))
    layers = [root["configuration"][configuration]]
    while "like" in layers[0]:
        layers.insert(0, root["configuration"][layers[0]["like"]])
    whole: dict[str, Any] = {}
    for layer in (root, *layers):
        whole = _laid(whole, {key: value for key, value in layer.items() if key not in OWN})
    return list(_leaves(whole))


def as_lines(found: list[tuple[tuple[str, ...], str]]) -> str:
    return "".join(f"{'.'.join(map(_word, path))} = {value}\n" for path, value in found)


def _word(step: str) -> str:
    return step if step.replace("_", "").isalnum() else json.dumps(step)


def _laid(under: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    both = dict(under)
    for key, value in over.items():
        both[key] = _laid(both.get(key, {}), value) if isinstance(value, dict) else value
    return both


def _leaves(table: dict[str, Any], path: tuple[str, ...] = ()) -> Iterator[Any]:
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _leaves(value, (*path, key))
        elif key != "felt_in":  # what is read is one vehicle, with what hangs in it
            yield (*path, key), value
