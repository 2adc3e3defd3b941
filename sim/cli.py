"""The command line: arguments, printing, exit codes.  The only module that prints.

Exit codes: 0 the work was done (``check`` and ``--strict``: and no finding fails), 1 a finding
fails under ``check`` or ``--strict``, or cannot be told from failing under ``--strict``, 2 the
scene or the arguments are wrong, or not everything could be done (what was done is printed and
written all the same).

Heavy imports wait inside the commands, so that ``--help`` answers at once.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim import __version__
from sim.errors import SimError
from sim.streams import harmless, plain_streams

if TYPE_CHECKING:
    from sim.outcome import Outcome
    from sim.scene.parts import Scene

Progress = Callable[[str, float], None]

WIDTH = 110
COLORS = {"fails": "1;31", "not": "1;31", "open": "1;34", "good if": "1;34", "doubt": "1;35"} | {
    "good": "1;32", "good for less": "1;35", "watch": "33", "do": "1", "new": "2", "also": "2",
    "note": "2", "": "0",
}  # fmt: skip
CAUTION = (
    "Checked by calculation from the scene's readings; nothing is certified.  The vehicle maker's "
    "data, local codes and licensed practice come first."
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        arguments: Words of the command line [text]; default: those of the process.

    Returns:
        Exit code [-]: 0, 1 or 2 as in the module's docstring; 130 where it was interrupted.
    """
    with plain_streams():
        try:
            options = _parser().parse_args(arguments)
            code: int = options.command(options)
            sys.stdout.flush()
        except SimError as error:
            return _refuse(f"{error}")
        except BrokenPipeError:  # the reader of a pipe went away: nothing more to say
            return 0
        except OSError as error:
            return _refuse(f"{error.filename or 'output'}: {error.strerror or error}")
        except KeyboardInterrupt:
            print("interrupted; no half-written file was left", file=sys.stderr)
            return 130
        return code


def _refuse(message: str) -> int:
    """Say what is wrong; return the exit code of it."""
    print(harmless(message), file=sys.stderr)
    return 2


def _parser() -> argparse.ArgumentParser:
    """Return the parser of all commands."""
    parser = argparse.ArgumentParser(
        prog="halfturn",
        description="3D simulation and animation of driveline motion: where the shafts, joints "
        "and the spline go through the whole suspension travel, judged by named rules.",
        epilog=CAUTION,
    )
    parser.add_argument("--version", action="version", version=f"halfturn {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
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
    shakes = commands.add_parser("shakes", help="what shakes at which road speed, and why")
    shakes.add_argument("scene", type=Path, metavar="SCENE", help="scene file (.toml)")
    _add_choices(shakes)
    shakes.add_argument("--speed", metavar="SPEED", help='road speed, as in "88 km/h"')
    shakes.add_argument("--felt", metavar="FREQUENCY", help='felt frequency, as in "42 Hz"')
    shakes.add_argument("--when", choices=("drive", "coast", "any"))
    shakes.add_argument("--load", choices=("empty", "loaded", "any"))
    shakes.set_defaults(command=_shakes)
    schema = commands.add_parser("schema", help="JSON Schema of scene files, for editors")
    schema.set_defaults(command=_schema)
    return parser


def _add(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    command: Callable[[argparse.Namespace], int],
    help_text: str,
) -> argparse.ArgumentParser:
    """Add a command that works on a scene file."""
    parser = commands.add_parser(name, help=help_text, description=help_text.capitalize() + ".")
    parser.add_argument("scene", type=Path, metavar="SCENE", help="scene file (.toml)")
    _add_choices(parser)
    parser.add_argument("--all", action="store_true", help="print everything, sources too")
    parser.add_argument(
        "--strict",
        action="store_true",
        help="exit with 1 if a finding fails, or cannot be told from failing",
    )
    if name != "check":
        parser.add_argument(
            "--out", type=Path, default=Path("outputs"), metavar="DIR", help="default: outputs"
        )
    parser.set_defaults(command=command, name=name)
    return parser


def _add_choices(parser: argparse.ArgumentParser) -> None:
    """Add what every command on a scene takes."""
    parser.add_argument("--only", metavar="NAME", help="this configuration alone")
    parser.add_argument(
        "--try",
        action="append",
        default=[],
        dest="tried",
        metavar="LINE",
        help='a line of the scene to try, as in "bearing.1.up = 534 mm"; may be repeated; with '
        "--only in that configuration, else where the key stands",
    )
    parser.add_argument(
        "--rules",
        metavar="SET",
        help="judge by this rule set, not the scene's; from a file of your own: "
        '"shop.toml: our shop"',
    )
    parser.add_argument("--json", action="store_true", help="print JSON for machines")


def _load(options: argparse.Namespace) -> Scene:
    """Return the scene of the command line."""
    from sim.scene.reader import load_scene

    return load_scene(options.scene, changes=options.tried, only=options.only)


def _check(options: argparse.Namespace) -> int:
    from sim import run

    outcome = run.check(
        _load(options), only=options.only, rules=options.rules, as_read=options.as_read
    )
    return _tell(options, outcome)


def _sweep(options: argparse.Namespace) -> int:
    from sim import run

    with _progress(options) as progress:
        outcome = run.sweep(
            _load(options), options.out, only=options.only, rules=options.rules, progress=progress
        )
    return _tell(options, outcome)


def _run(options: argparse.Namespace) -> int:
    from sim import run

    with _progress(options) as progress:
        outcome = run.run(
            _load(options), options.out, only=options.only, rules=options.rules, progress=progress
        )
    return _tell(options, outcome)


def _film(options: argparse.Namespace) -> int:
    from sim import run

    with _progress(options) as progress:
        outcome = run.make_film(
            _load(options),
            options.out,
            only=options.only,
            rules=options.rules,
            gif=options.gif,
            progress=progress,
        )
    return _tell(options, outcome)


def _shakes(options: argparse.Namespace) -> int:
    from sim import run
    from sim.show.shakes import complaint_of, shakes_json, shakes_lines

    asked = complaint_of(options.speed, options.felt, options.when, options.load)
    outcome = run.check(_load(options), only=options.only, rules=options.rules, cures=False)
    if options.json:
        said = shakes_json(outcome.scene, outcome.results, asked)
        _print_json(said)
        return 0
    for line in shakes_lines(outcome.scene, outcome.results, asked, _width()):
        print(line)
    _say_caution()
    return _refuse("\n".join(outcome.troubles)) if outcome.troubles else 0


def _schema(options: argparse.Namespace) -> int:
    from sim.show.schema import scene_schema

    _print_json(scene_schema())
    return 0


def _tell(options: argparse.Namespace, outcome: Outcome) -> int:
    """Print what came out; return the exit code."""
    from sim.show.machine import summary_json
    from sim.show.summary import all_lines, first_lines

    if options.json:
        _print_json(summary_json(outcome.scene, outcome.results, outcome.files, outcome.troubles))
    else:
        lines = all_lines if options.all else first_lines
        for line in lines(outcome.scene, outcome.results, _width(), _ink()):
            print(line)
        if outcome.files:
            print(f"{len(outcome.files)} files in {outcome.folder}")
        _say_caution()
    if outcome.troubles:
        return _refuse("\n".join(outcome.troubles))
    bad = outcome.may_fail if options.strict else options.name == "check" and outcome.fails
    return int(bad)


def _width() -> int:
    """Return how many columns a line may take: the terminal's, at most 110."""
    return max(40, min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns))


def _ink() -> Callable[[str, str], str]:
    """Return what colors words: by their meaning on a terminal that has colors, else not at all."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    if plain or not sys.stdout.isatty():
        return lambda meaning, text: text
    return lambda meaning, text: f"\x1b[{COLORS[meaning]}m{text}\x1b[0m" if text else text


def _say_caution() -> None:
    """Print the caution that stands below everything."""
    print(textwrap.fill(CAUTION, _width()))


def _print_json(said: Any) -> None:
    """Print for machines; letters that the stream cannot carry as JSON writes them."""
    carries = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    print(json.dumps(said, indent=1, ensure_ascii=not carries))


@contextmanager
def _progress(options: argparse.Namespace) -> Iterator[Progress]:
    """Give a progress callback: bars on a terminal, silence when piped or with --json."""
    if options.json or not sys.stderr.isatty():
        yield lambda stage, fraction: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskID, TextColumn, TimeElapsedColumn

    tasks: dict[str, TaskID] = {}
    with Progress(
        TextColumn("{task.description:32}"),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeElapsedColumn(),
        console=Console(stderr=True),
    ) as bars:

        def show(stage: str, fraction: float) -> None:
            if stage not in tasks:
                tasks[stage] = bars.add_task(stage, total=1.0)
            bars.update(tasks[stage], completed=fraction)

        yield show


if __name__ == "__main__":
    sys.exit(main())
