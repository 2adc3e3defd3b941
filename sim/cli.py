"""The command line: one parser, and exit codes.

Exit codes: 0 the work was done (``check``, ``built`` and ``--strict``: and no finding fails), 1 a
finding fails under one of these, or cannot be told from failing under ``--strict``, or readings
contradict under ``built``; 2 the scene or the arguments are wrong, or not everything could be done
(what was done is printed and written all the same).

Heavy imports wait inside the commands, so that ``--help`` answers at once.
"""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Sequence

from sim import __version__
from sim.commands import (
    answer,
    blank,
    built,
    design,
    effects,
    judging,
    new,
    place,
    schema,
    shakes,
    sheet,
    template,
)
from sim.commands.common import CAUTION, refuse
from sim.errors import SimError
from sim.streams import plain_streams

COMMANDS = (
    judging,
    answer,
    place,
    design,
    effects,
    built,
    sheet,
    template,
    shakes,
    blank,
    new,
    schema,
)  # in the order of --help


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        arguments: Words of the command line [text]; default: those of the process.

    Returns:
        Exit code [-]: 0, 1 or 2 as in the module's docstring; 130 where it was interrupted.
    """
    gc.set_threshold(20_000)  # what is loaded and read stays: no use to search it again and again
    with plain_streams():
        try:
            options = _parser().parse_args(arguments)
            code: int = options.command(options)
            sys.stdout.flush()
        except SimError as error:
            return refuse(f"{error}")
        except BrokenPipeError:  # the reader of a pipe went away: nothing more to say
            return 0
        except OSError as error:
            return refuse(f"{error.filename or 'output'}: {error.strerror or error}")
        except KeyboardInterrupt:
            print("interrupted; no half-written file was left", file=sys.stderr)
            return 130
        return code


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
    for command in COMMANDS:
        command.add(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
