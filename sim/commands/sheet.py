"""sheet: the build sheet to take to the truck, and the page for the customer's folder."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from sim.commands.common import add_command, load, print_json, refuse, say_caution

if TYPE_CHECKING:
    from sim.show.paper.kit import PaperName


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    sheet = add_command(
        commands,
        "sheet",
        _sheet,
        "build sheet for the truck and hand-over page for the customer, as PDF",
        writes=True,
    )
    sheet.add_argument(
        "--paper", choices=("a4", "letter"), help="default: letter for a scene in inches, else a4"
    )
    sheet.add_argument(
        "--even-failing",
        action="store_true",
        help="a build sheet even of a layout that is not sound, marked so; no hand-over page",
    )


def _sheet(options: argparse.Namespace) -> int:
    from pathlib import Path

    from sim import run
    from sim.judge.rules import load_rules
    from sim.show.building import building_of
    from sim.show.building_json import building_json
    from sim.show.paper.build import write_build_sheet
    from sim.show.paper.handover import write_hand_over

    scene = load(options)
    outcome = run.check(scene, only=options.only, rules=options.rules)
    rules = load_rules(options.rules or scene.rules, Path() if options.rules else scene.folder)
    build = building_of(scene, outcome.results, rules, even_failing=options.even_failing)
    name = build.result.configuration.name
    folder = options.out / scene.name / name
    paper: PaperName = options.paper or ("letter" if scene.display == "inch" else "a4")
    files = [write_build_sheet(build, folder, paper)]
    if build.sound:
        files.append(write_hand_over(build, folder, paper))
    if options.json:
        print_json(building_json(build, files))
        return 0
    print(f"{name}: {build.outlook.sentence}{f', once you {build.does}' if build.does else ''}")
    for file in files:
        print(file)
    say_caution()
    return refuse("\n".join(outcome.troubles)) if outcome.troubles else 0
