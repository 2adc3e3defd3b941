"""schema: the JSON Schema of scene files."""

from __future__ import annotations

import argparse

from sim.commands.common import print_json


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    schema = commands.add_parser("schema", help="JSON Schema of scene files, for editors")
    schema.set_defaults(command=_schema)


def _schema(options: argparse.Namespace) -> int:
    from sim.show.schema import scene_schema

    print_json(scene_schema())
    return 0
