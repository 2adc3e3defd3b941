"""shakes: what shakes at which road speed."""

from __future__ import annotations

import argparse
from pathlib import Path

from sim.commands.common import (
    add_choices,
    load,
    print_json,
    progress,
    refuse,
    say_caution,
    width,
)


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    shakes = commands.add_parser(
        "shakes", help="what shakes at which road speed, why, and which configuration cures it"
    )
    shakes.add_argument("scene", type=Path, metavar="SCENE", help="scene file (.toml)")
    add_choices(shakes)
    shakes.add_argument("--speed", metavar="SPEED", help='road speed, as in "88 km/h"')
    shakes.add_argument("--felt", metavar="FREQUENCY", help='felt frequency, as in "42 Hz"')
    shakes.add_argument(
        "--when",
        choices=("drive", "coast", "any"),
        help="felt under drive only, on the overrun only, or both alike; default: nobody looked",
    )
    shakes.add_argument(
        "--load",
        choices=("empty", "loaded", "any"),
        help="felt empty only, loaded only, or both alike; default: nobody looked",
    )
    shakes.add_argument(
        "--felt-in", metavar="NAME", help="configuration that it is felt in; default: the first"
    )
    shakes.add_argument(
        "--out", type=Path, metavar="DIR", help="draw force over road speed into this folder, too"
    )
    shakes.set_defaults(command=_shakes)


def _shakes(options: argparse.Namespace) -> int:
    from sim import run
    from sim.show.shakes import asked_of, complaint_of, shakes_json, shakes_lines

    typed = options.speed is not None or options.felt is not None
    alone = options.only if typed else None
    felt_in = alone if options.felt_in is None else options.felt_in
    asked = complaint_of(options.speed, options.felt, options.when, options.load, felt_in)
    scene = asked_of(load(options), asked)
    with progress(options) as shown:
        outcome = run.shakes(
            scene, options.out, only=options.only, rules=options.rules, progress=shown
        )
    if options.json:
        print_json(
            shakes_json(outcome.scene, outcome.results, outcome.rules)
            | {"files": [file.as_posix() for file in outcome.files]}
        )
        return 0
    for line in shakes_lines(outcome.scene, outcome.results, outcome.rules, width()):
        print(line)
    if outcome.files:
        print(f"{len(outcome.files)} files in {outcome.folder}")
    say_caution()
    return refuse("\n".join(outcome.troubles)) if outcome.troubles else 0
