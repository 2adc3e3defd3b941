"""``halfturn new``: a scene of a new vehicle, from questions in the terminal or a file."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from sim.commands.common import ink, refuse, say_caution, width
from sim.errors import Problem, SceneError

if TYPE_CHECKING:
    from sim.scene.readings import Readings

KEPT = ".readings.txt"  # in place of the suffix of the scene


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    said = "asks for the readings of a new vehicle, one at a time, and writes its scene"
    parser = commands.add_parser("new", help=said, description=f"{said.capitalize()}.")
    parser.add_argument("scene", type=Path, metavar="SCENE", help="scene file to write (.toml)")
    parser.add_argument(
        "--from",
        type=Path,
        dest="readings",
        metavar="FILE",
        help='no questions: readings from a file, a line each, as in "output.aft = 1745 ± 3 mm"',
    )
    parser.set_defaults(command=_new)


def _new(options: argparse.Namespace) -> int:
    from sim.scene.text import read_file

    path: Path = options.scene
    _check_place(path)
    if options.readings is not None:
        from sim.scene.readings import read_readings

        return _from(path, read_readings(read_file(options.readings), options.readings.name))
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return refuse("there is no terminal to ask in; give the readings with --from FILE")
    return _ask(path)


def _check_place(path: Path) -> None:
    """Refuse a scene that is there already, or is no scene, before anything is asked."""
    from sim.show.files import plain_name

    plain_name(path.name)
    if path.suffix != ".toml":
        raise SceneError(path.name, [Problem(0, f"a scene ends in .toml: {path.stem}.toml")])
    if path.exists():
        said = "is there already, and is not written over; edit it, or give another name"
        raise SceneError(path.name, [Problem(0, said)])


def _from(path: Path, read: Readings) -> int:
    """Write the scene of a file of readings."""
    from sim.scene.readings import build, doubts_of
    from sim.show.files import write_text

    scene, text = build(read)
    write_text(path, text)
    for about, said in doubts_of(scene, read.answers):
        print(ink()("doubt", Problem(read.lines.get(about, 0), f"doubtful: {said}").say(read.file)))
    return _written(path)


def _ask(path: Path) -> int:
    """Ask until the scene is whole, or the rest is left for later."""
    from sim.commands.interview import Interview, LaterError
    from sim.scene.readings import kept, read_readings
    from sim.scene.text import read_file
    from sim.show.files import write_text

    file = path.with_suffix(KEPT)
    answers = {}
    if file.exists():
        read = read_readings(read_file(file), file.name)
        if read.problems:
            raise SceneError(file.name, read.problems)
        answers = dict(read.answers)
        print(f"Going on with {file.name}: {len(answers)} answers.")
    interview = Interview(answers, lambda now: write_text(file, kept(now)), width(), ink())
    try:
        text = interview.run()
    except (LaterError, KeyboardInterrupt, EOFError) as end:
        kept_in = f"Kept in {file}" if file.exists() else "Nothing was answered yet"
        print(f"{kept_in}.  Go on with: halfturn new {path}")
        return 130 if isinstance(end, KeyboardInterrupt) else 0
    write_text(path, text)
    file.unlink(missing_ok=True)
    return _written(path)


def _written(path: Path) -> int:
    print(f"Wrote {path}.  Next: halfturn check {path}")
    say_caution()
    return 0
