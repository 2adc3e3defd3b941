"""template: where to drill the rails for the brace of a center bearing, at true scale."""

from __future__ import annotations

import argparse
import textwrap

from sim.commands.common import (
    add_command,
    add_paper,
    layout_to_build,
    paper_of,
    print_json,
    refuse,
    say_caution,
    width,
)


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    template = add_command(
        commands,
        "template",
        _template,
        "drilling template of the brace's feet at true scale, as PDF",
        writes=True,
    )
    add_paper(template)
    template.add_argument(
        "--guide",
        metavar="NAME",
        default="light truck",
        help="judge the holes by this guide (default: light truck); the chassis maker's own book "
        "comes first",
    )


def _template(options: argparse.Namespace) -> int:
    from sim.judge.drilling import guide_named
    from sim.judge.drilling_plan import drilling_plans
    from sim.show.paper.template import FILE, write_template
    from sim.show.paper.template_json import template_json
    from sim.show.paper.template_words import plan_lines

    guide = guide_named(options.guide)
    build, outcome = layout_to_build(options)
    scene, configuration = build.scene, build.result.configuration
    plans, paper = drilling_plans(configuration, guide), paper_of(options, scene.display)
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
