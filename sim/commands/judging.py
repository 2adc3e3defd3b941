"""check, run, sweep, film: commands that judge every configuration and print the findings."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING

from sim.commands.common import (
    add_command,
    ink,
    load,
    print_json,
    progress,
    refuse,
    say_caution,
    width,
)

if TYPE_CHECKING:
    from sim.outcome import Outcome


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands."""
    _add(commands, "run", _run, "everything: sweep, judge, plots, film, report")
    check = _add(commands, "check", _check, "validate and judge only, print the findings, fast")
    check.add_argument(
        "--as-read",
        action="store_true",
        help="take readings as exact: faster, but not how sure, so no change is tried as a cure",
    )
    _add(commands, "sweep", _sweep, "tables and plots, confirmed by the rigid-body route")
    film = _add(commands, "film", _film, "the film only")
    film.add_argument("--gif", action="store_true", help="also a small GIF preview for e-mail")


def _add(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    command: Callable[[argparse.Namespace], int],
    help_text: str,
) -> argparse.ArgumentParser:
    """Add a command that prints findings."""
    parser = add_command(commands, name, command, help_text, writes=name != "check")
    parser.add_argument("--all", action="store_true", help="print everything, sources too")
    parser.add_argument(
        "--strict",
        action="store_true",
        help="exit with 1 if a finding fails, or cannot be told from failing",
    )
    return parser


def _check(options: argparse.Namespace) -> int:
    from sim import run

    outcome = run.check(
        load(options), only=options.only, rules=options.rules, as_read=options.as_read
    )
    return _tell(options, outcome)


def _sweep(options: argparse.Namespace) -> int:
    from sim import run

    with progress(options) as shown:
        outcome = run.sweep(
            load(options), options.out, only=options.only, rules=options.rules, progress=shown
        )
    return _tell(options, outcome)


def _run(options: argparse.Namespace) -> int:
    from sim import run

    with progress(options) as shown:
        outcome = run.run(
            load(options), options.out, only=options.only, rules=options.rules, progress=shown
        )
    return _tell(options, outcome)


def _film(options: argparse.Namespace) -> int:
    from sim import run

    with progress(options) as shown:
        outcome = run.make_film(
            load(options),
            options.out,
            only=options.only,
            rules=options.rules,
            gif=options.gif,
            progress=shown,
        )
    return _tell(options, outcome)


def _tell(options: argparse.Namespace, outcome: Outcome) -> int:
    """Print what came out; return the exit code."""
    from sim.show.machine import summary_json
    from sim.show.summary import first_lines
    from sim.show.summary_all import all_lines

    if options.json:
        print_json(summary_json(outcome.scene, outcome.results, outcome.files, outcome.troubles))
    else:
        lines = all_lines if options.all else first_lines
        for line in lines(outcome.scene, outcome.results, width(), ink()):
            print(line)
        if outcome.files:
            print(f"{len(outcome.files)} files in {outcome.folder}")
        say_caution()
    if outcome.troubles:
        return refuse("\n".join(outcome.troubles))
    bad = outcome.may_fail if options.strict else options.name == "check" and outcome.fails
    return int(bad)
