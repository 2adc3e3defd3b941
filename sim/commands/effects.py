"""effects: what each millimeter does."""

from __future__ import annotations

import argparse

from sim.commands.common import (
    add_command,
    load,
    print_json,
    progress,
    refuse,
    say_caution,
    width,
)


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    what = "what each millimeter does, and how far each may be off before a limit gives way"
    add_command(commands, "effects", _effects, what, writes=True)


def _effects(options: argparse.Namespace) -> int:
    from sim import run
    from sim.show.effects import effects_json, effects_lines

    with progress(options) as show:
        outcome = run.effects(
            load(options), options.out, only=options.only, rules=options.rules, progress=show
        )
    found = [result.effects for result in outcome.results if result.effects is not None]
    if options.json:
        print_json(effects_json(outcome.scene, found, outcome.files, outcome.troubles))
    else:
        for line in effects_lines(outcome.scene, found, width()):
            print(line)
        print(f"{len(outcome.files)} files in {outcome.folder}")
        say_caution()
    return refuse("\n".join(outcome.troubles)) if outcome.troubles else 0
