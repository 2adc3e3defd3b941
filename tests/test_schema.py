"""The JSON Schema that editors complete scene files with."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from sim.show.schema import scene_schema

SCENES = sorted((Path(__file__).parent.parent / "scenes").glob("*.toml"))
SCHEMA = scene_schema()


def fits(value: Any, node: dict[str, Any]) -> Iterator[str]:
    """Yield where a value does not fit the part of JSON Schema (draft 7) that we use."""
    if "$ref" in node:
        node = SCHEMA["$defs"][node["$ref"].rpartition("/")[2]]
    if "anyOf" in node and all(list(fits(value, way)) for way in node["anyOf"]):
        yield f"{value!r} fits none"
    for way in node.get("allOf", []):
        yield from fits(value, way)
    if value not in node.get("enum", [value]) or value != node.get("const", value):
        yield f"{value!r} is not allowed"
    if "pattern" in node and not re.search(node["pattern"], value):
        yield f"{value!r} does not match {node['pattern']}"
    if isinstance(value, dict):
        yield from table_fits(value, node)


def table_fits(table: dict[str, Any], node: dict[str, Any]) -> Iterator[str]:
    """Yield which keys of a table do not fit."""
    for key, inner in table.items():
        named = [node.get("properties", {}).get(key)]
        named += [n for p, n in node.get("patternProperties", {}).items() if re.search(p, key)]
        here = next((n for n in named if n), node.get("additionalProperties"))
        if isinstance(here, dict):
            yield from fits(inner, here)
        elif here is False:
            yield f"{key} is not known"


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_shipped_scene_fits_the_schema(path: Path) -> None:
    assert list(fits(tomllib.loads(path.read_text("utf-8")), SCHEMA)) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"155 km/h"', '"155 kmh"'),
        ('up = "568 ± 2 mm"', 'up = "568"'),
        ('rules = "chassis conversion"', 'rules = "light"'),
        ("top_speed", "topspeed"),
        ('kind = "leaf"', 'kind = "leef"'),
    ],
)
def test_the_schema_flags_a_slip(old: str, new: str) -> None:
    text = (Path(__file__).parent.parent / "scenes" / "orchard_service_truck.toml").read_text(
        "utf-8"
    )
    assert old in text
    assert list(fits(tomllib.loads(text.replace(old, new, 1)), SCHEMA)) != []


def test_every_key_says_what_it_means_and_how_it_is_written() -> None:
    parts = {name: part["properties"] for name, part in SCHEMA["$defs"].items()}
    nodes = [node for part in parts.values() for node in part.values() if "$ref" not in node]
    assert all(node["description"] for node in nodes)
    axle_load = parts["VehicleKeys"]["axle_load"]
    assert axle_load["description"] == (
        'Weight on the driven axle. 100 to 15000 kg. Usual: 300 to 13000 kg. As in "1448 ± 30 kg". '
        "Left out: no torque case is derived."
    )
    for part in parts.values():
        for node in part.values():
            assert all(re.search(node["pattern"], example) for example in node.get("examples", []))


def test_nothing_of_the_machinery_shows() -> None:
    text = json.dumps(SCHEMA)
    assert '"x-' not in text
    assert '"null"' not in text
    assert '"required"' not in json.dumps(SCHEMA["$defs"])
