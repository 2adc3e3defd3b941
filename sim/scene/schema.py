"""JSON Schema of scene files, for editors; built from the models that read them."""

from __future__ import annotations

from typing import Any

from sim.scene.fields import NAME_PATTERN
from sim.scene.header import DISPLAYS, FORMAT, LONGEST, RULE_SETS
from sim.scene.hung import Setup

Node = dict[str, Any]


def scene_schema() -> Node:
    """Return the schema of scene files.

    Only the header is required: any other table may be a difference between configurations, so
    it may be incomplete.  The schema helps to write; ``halfturn check`` decides.

    Returns:
        JSON Schema, draft 7.
    """
    whole = Setup.model_json_schema(by_alias=True)
    tables, parts = whole["properties"], whole["$defs"]
    for part in parts.values():
        part.pop("required", None)
        part["properties"] = {key: _tidy(node) for key, node in part["properties"].items()}
    tables = {key: _tidy(node) for key, node in tables.items()}
    parts["Configuration"] = _configuration(tables)
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "halfturn scene",
        "type": "object",
        "additionalProperties": False,
        "required": ["format", "title", "datum", "display", "rules", "configuration"],
        "properties": {
            **_header(),
            **tables,
            "configuration": {
                "type": "object",
                "description": "Drivelines by name.",
                "minProperties": 1,
                "propertyNames": {"pattern": NAME_PATTERN},
                "additionalProperties": {"$ref": "#/$defs/Configuration"},
            },
        },
        "$defs": parts,
    }


def _words(key: str, description: str) -> Node:
    """Return the schema of a text."""
    return {"type": "string", "maxLength": LONGEST.get(key, 40), "description": description}


def _header() -> Node:
    """Return the keys at the top of a file."""
    return {
        "format": {"type": "string", "const": FORMAT, "description": "Format of the file."},
        "title": _words("title", "Name of the vehicle."),
        "about": _words("about", "A sentence for the report."),
        "datum": _words("datum", "Where all places are measured from, in words."),
        "display": {"enum": list(DISPLAYS), "description": "Units of screens and sheets."},
        "rules": {"enum": list(RULE_SETS), "description": "Rule set that judges."},
        "compare": _words(
            "compare", "Names of the two configurations of the film, a comma between."
        ),
    }


def _configuration(tables: Node) -> Node:
    """Return the schema of one configuration."""
    return {
        "type": "object",
        "additionalProperties": False,
        "description": "One driveline: what differs from the shared part, or from another one.",
        "properties": {
            "about": _words("about", "A sentence for the report."),
            "like": _words("like", "Name of the one it starts from; its shafts are cut to fit."),
            "same_shafts_as": _words(
                "same_shafts_as", "Name of the one it starts from; its shafts are already cut."
            ),
            **tables,
        },
    }


def _tidy(node: Node) -> Node:
    """Fold pydantic's optional forms; put range, example and default where an editor shows them."""
    node = {key: value for key, value in node.items() if key not in ("title", "default")}
    ways = [way for way in node.pop("anyOf", []) if way != {"type": "null"}]
    for way in ways:
        node = {**way, **node}
    node.pop("discriminator", None)
    if "oneOf" in node:  # a lone suspension.wind_up fits several kinds: any of them will do
        node["anyOf"] = node.pop("oneOf")
    for key in ("additionalProperties", "patternProperties"):
        inner = node.get(key)
        if isinstance(inner, dict):
            kept = {k: _tidy(v) for k, v in inner.items()} if key[0] == "p" else _tidy(inner)
            node[key] = kept
    if "patternProperties" in node:
        node["additionalProperties"] = False
    if "$ref" in node and len(node) > 1:  # draft 7 looks at nothing beside a $ref
        node["allOf"] = [{"$ref": node.pop("$ref")}]
    return _described(node)


def _described(node: Node) -> Node:
    """Fold range, example and default into the description, which editors show."""
    words = [node.get("description", "")]
    if "x-range" in node:
        words.append(f"{node.pop('x-range')}.")
    if "x-usual" in node:
        words.append(f"Usual: {node.pop('x-usual')}.")
    if "examples" in node:
        words.append(f'As in "{node["examples"][0]}".')
    if "x-default" in node:
        words.append(f"Left out: {node.pop('x-default')}.")
    said = " ".join(word for word in words if word)
    return {**node, "description": said} if said else node
