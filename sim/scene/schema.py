"""JSON Schema of scene files, for editors; built from the tables that read them."""

from __future__ import annotations

from sim.scene.header import DISPLAYS, FORMAT, LONGEST, RULE_SETS
from sim.scene.keys import NAME, Node
from sim.scene.table import Table, tables_in
from sim.scene.tables.setup import Setup


def scene_schema() -> Node:
    """Return the JSON Schema of a scene, draft 7."""
    _, *inner = tables_in(Setup)
    parts = {table.__name__: _table(table) for table in inner}
    tables = _table(Setup)["properties"]
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
                "propertyNames": {"pattern": NAME},
                "additionalProperties": {"$ref": "#/$defs/Configuration"},
            },
        },
        "$defs": parts,
    }


def _table(table: type[Table]) -> Node:
    """Return the schema of a table."""
    return {
        "type": "object",
        "additionalProperties": False,
        "description": (table.__doc__ or "").strip(),
        "properties": {word: key.node() for word, key in table.declared().items()},
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
        "rules": {
            "anyOf": [{"enum": list(RULE_SETS)}, {"pattern": r"^[^/\\]+\.toml(: .+)?$"}],
            "description": "Rule set that judges; or a set in a file beside the scene.",
        },
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
