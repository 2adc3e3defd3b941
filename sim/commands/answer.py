"""answer: which driveline to build, as text and as one page of paper."""

from __future__ import annotations

import argparse

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
        say_caution()
    return refuse("\n".join(outcome.troubles)) if outcome.troubles else 0
