"""sheet: the build sheet to take to the truck, and the page for the customer's folder."""

from __future__ import annotations

import argparse

from sim.commands.common import (
    add_command,
    add_paper,
    layout_to_build,
    paper_of,
    print_json,
    refuse,
    say_caution,
)


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    sheet = add_command(
        commands,
        "sheet",
        _sheet,
        "build sheet for the truck and hand-over page for the customer, as PDF",
        writes=True,
    )
    add_paper(sheet)
    sheet.add_argument(
        "--even-failing",
        action="store_true",
        help="a build sheet even of a layout that is not sound, marked so; no hand-over page",
    )


def _sheet(options: argparse.Namespace) -> int:
    from sim.show.building_json import building_json
    from sim.show.paper.build import write_build_sheet
    from sim.show.paper.handover import write_hand_over

    build, outcome = layout_to_build(options, even_failing=options.even_failing)
    name, paper = build.result.configuration.name, paper_of(options, build.scene.display)
    folder = options.out / build.scene.name / name
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
