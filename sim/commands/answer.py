"""answer: which driveline to build, as text and as one page of paper."""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from sim.commands.common import (
    add_command,
    add_paper,
    load,
    print_json,
    progress,
    refuse,
    say_caution,
    width,
)

if TYPE_CHECKING:
    from sim.show.answer import Answer


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    parser = add_command(
        commands, "answer", _answer, "which driveline to build, on one page (PDF)", writes=True
    )
    add_paper(parser)


def _answer(options: argparse.Namespace) -> int:
    from sim import run
    from sim.show.answer_lines import answer_json, answer_lines

    with progress(options) as shown:
        outcome, answer = run.answer(
            load(options),
            options.out,
            only=options.only,
            rules=options.rules,
            paper=options.paper,
            progress=shown,
        )
    if options.json:
        print_json(answer_json(answer, outcome.files, outcome.troubles))
    else:
        for line in answer_lines(answer, width()):
            print(line)
        print(f"On paper: {outcome.files[-1]}")
        if answer.ready and not answer.scene.changes:
            print("\n".join(_next(options.scene, answer)))
        say_caution()
    return refuse("\n".join(outcome.troubles)) if outcome.troubles else 0


def _next(scene: Path, answer: Answer) -> list[str]:
    """Return which commands to give next for what is to be built."""
    which = f"{shlex.quote(str(scene))} --only {shlex.quote(answer.name)}"
    braces = answer.result.configuration.braces
    drilled = any(brace.foot for brace in braces.values())
    template = [f"Before drilling: halfturn template {which}"] if drilled else []
    return [f"Next: halfturn sheet {which}", *template]
