"""JSON Schema of scene files, for editors; built from the tables that read them."""

from __future__ import annotations

from sim.scene.header import DISPLAYS, FORMAT, OWN, RULE_SETS, TOP
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


def _header() -> Node:
    """Return the keys at the top of a file."""
    rules = [{"enum": list(RULE_SETS)}, {"pattern": r"^[^/\\]+\.toml(: .+)?$"}]
    return {word: key.node() for word, key in TOP.items()} | {
        "format": {"type": "string", "const": FORMAT} | TOP["format"].described(),
        "display": {"enum": list(DISPLAYS)} | TOP["display"].described(),
        "rules": {"anyOf": rules} | TOP["rules"].described(),
    }


def _configuration(tables: Node) -> Node:
    """Return the schema of one configuration."""
    return {
        "type": "object",
        "additionalProperties": False,
        "description": "One driveline: what differs from the shared part, or from another one.",
        "properties": {
            **{word: key.node() for word, key in OWN.items()},
            **tables,
        },
    }
