"""built: readings after the work against the plan, and a record of them."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from sim.commands.common import (
    add_command,
    ink,
    load,
    print_json,
    refuse,
    say_caution,
    width,
)

if TYPE_CHECKING:
    from sim.scene.parts import Scene

RECORD = "Readings of {}.  Entries are added below and never changed.\n\n"


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    built = add_command(
        commands, "built", _built, "judge a truck by what was read on it after the work"
    )
    built.add_argument(
        "readings", type=Path, nargs="?", metavar="READINGS", help="readings file (.toml)"
    )
    built.add_argument("--blank", action="store_true", help="print a readings file to fill in")
    built.add_argument("--all", action="store_true", help="print every reading")
    built.add_argument(
        "--record",
        type=Path,
        metavar="FILE",
        help="where the readings are added; default: beside the scene, its name and _record.txt",
    )


def _built(options: argparse.Namespace) -> int:
    scene = load(options)
    if options.blank or options.readings is None:
        if options.blank == (options.readings is not None):
            return refuse("halfturn built SCENE READINGS, or halfturn built SCENE --blank")
        return _blank(scene, options.only)
    return _judge(scene, options)


def _blank(scene: Scene, only: str | None) -> int:
    from sim.scene.readback import chosen_configuration
    from sim.show.built_blank import blank_lines

    for line in blank_lines(scene, chosen_configuration(scene, only)):
        print(line)
    return 0


def _judge(scene: Scene, options: argparse.Namespace) -> int:
    from sim.explore.built import as_built
    from sim.judge.rules import load_rules
    from sim.scene.readback import load_readback
    from sim.show.built import built_json, built_lines, record_entry
    from sim.show.files import append_text

    readback = load_readback(options.readings, scene, options.only)
    folder = Path() if options.rules else scene.folder
    rules = load_rules(options.rules or scene.rules, folder)
    built = as_built(scene.configuration(readback.configuration), readback, rules)
    record = options.record or options.scene.with_name(f"{options.scene.stem}_record.txt")
    if not options.json:
        for line in built_lines(scene, built, width(), ink(), every=options.all):
            print(line)
    added = append_text(record, record_entry(scene, built), head=RECORD.format(scene.title))
    if options.json:
        print_json(built_json(scene, built) | {"record": record.as_posix(), "recorded": added})
    else:
        print(f"{'Added to' if added else 'Stands already in'} {record}")
        say_caution()
    fails = built.judged is None or built.judged.findings.fails
    return int(bool(fails))
