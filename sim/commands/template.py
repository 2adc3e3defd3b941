"""template: where to drill the rails for the brace of a center bearing, at true scale."""

from __future__ import annotations

import argparse
import textwrap
from typing import TYPE_CHECKING

from sim.commands.common import add_command, load, print_json, refuse, say_caution, width

if TYPE_CHECKING:
    from sim.show.paper.kit import PaperName


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    template = add_command(
        commands,
        "template",
        _template,
        "drilling template of the brace's feet at true scale, as PDF",
        writes=True,
    )
    template.add_argument(
        "--paper", choices=("a4", "letter"), help="default: letter for a scene in inches, else a4"
    )
    template.add_argument(
        "--guide",
        metavar="NAME",
        default="light truck",
        help="judge the holes by this guide (default: light truck); the chassis maker's own book "
        "comes first",
    )


def _template(options: argparse.Namespace) -> int:
    from pathlib import Path

    from sim import run
    from sim.judge.drilling import guide_named
    from sim.judge.drilling_plan import drilling_plans
    from sim.judge.rules import load_rules
    from sim.show.building import building_of
    from sim.show.paper.template import FILE, write_template
    from sim.show.paper.template_json import template_json
    from sim.show.paper.template_words import plan_lines

    guide, scene = guide_named(options.guide), load(options)
    outcome = run.check(scene, only=options.only, rules=options.rules)
    rules = load_rules(options.rules or scene.rules, Path() if options.rules else scene.folder)
    build = building_of(scene, outcome.results, rules)
    configuration = build.result.configuration
    plans = drilling_plans(configuration, guide)
    paper: PaperName = options.paper or ("letter" if scene.display == "inch" else "a4")
    path = options.out / scene.name / configuration.name / FILE
    write_template(path, scene, configuration.name, plans, paper=paper, write=build.carries)
    if options.json:
        print_json(template_json(build, plans, path))
    else:
        print(f"{configuration.name}: {build.outlook.sentence}{_once(build.does)}")
        for plan in plans:
            for line in plan_lines(plan, scene.display):
                print(textwrap.fill(line, width()))
        print(path)
        say_caution()
    if outcome.troubles:
        return refuse("\n".join(outcome.troubles))
    return int(not all(plan.keeps for plan in plans))


def _once(does: str) -> str:
    """Return what was carried out, as the end of a sentence."""
    return f", once you {does}" if does else ""
