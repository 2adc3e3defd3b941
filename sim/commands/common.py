"""What commands share: arguments, the scene of the command line, printing, progress."""

from __future__ import annotations

import argparse
import json
import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.streams import harmless

if TYPE_CHECKING:
    from sim.display import DisplayName
    from sim.outcome import Outcome
    from sim.scene.parts import Configuration, Scene
    from sim.show.building import Building
    from sim.show.paper.kit import PaperName

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


def refuse(message: str) -> int:
    """Say what is wrong; return the exit code of it."""
    print(harmless(message), file=sys.stderr)
    return 2


def add_command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    command: Callable[[argparse.Namespace], int],
    help_text: str,
    *,
    writes: bool = False,
) -> argparse.ArgumentParser:
    """Add a command that works on a scene file, and say where it writes if it does."""
    parser = commands.add_parser(name, help=help_text, description=sentence(help_text))
    parser.add_argument("scene", type=Path, metavar="SCENE", help="scene file (.toml)")
    add_choices(parser)
    if writes:
        add_out(parser)
    parser.set_defaults(command=command, name=name)
    return parser


def add_out(parser: argparse.ArgumentParser) -> None:
    """Add where a command writes."""
    parser.add_argument(
        "--out", type=Path, default=Path("outputs"), metavar="DIR", help="default: outputs"
    )


def add_paper(parser: argparse.ArgumentParser) -> None:
    """Add the size of pages."""
    parser.add_argument(
        "--paper", choices=("a4", "letter"), help="default: letter for a scene in inches, else a4"
    )


def paper_of(options: argparse.Namespace, display: DisplayName) -> PaperName:
    """Return the size of pages asked for, or the usual one of a scene."""
    chosen: PaperName | None = options.paper
    return chosen or ("letter" if display == "inch" else "a4")


def sentence(words: str) -> str:
    """Return words as a sentence; names keep their capitals."""
    return f"{words[:1].upper()}{words[1:]}."


def add_choices(parser: argparse.ArgumentParser) -> None:
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


def load(options: argparse.Namespace) -> Scene:
    """Return the scene of the command line."""
    from sim.scene.reader import load_scene

    return load_scene(options.scene, changes=options.tried, only=options.only)


def unchanged(scene: Scene, path: Path) -> bytes:
    """Return the bytes of a scene file, before something is appended to it.

    Raises:
        SceneError: If the file was changed since the scene was read.
    """
    from hashlib import sha256

    from sim.errors import Problem, SceneError
    from sim.scene.text import read_file

    raw = read_file(path)
    if sha256(raw).hexdigest() != scene.digest:
        said = "was changed while designs were looked at; nothing was written, start again"
        raise SceneError(path.name, [Problem(0, said)])
    return raw


def doubted_in(scene: Scene, configurations: Iterable[Configuration]) -> str:
    """Return why no advice is given on configurations whose readings are doubted; "" for none."""
    doubted = {path for one in configurations for path in one.doubted}
    if not doubted:
        return ""
    readings = ", ".join(sorted(doubted))
    return (
        "\n".join(scene.doubts)
        + f"\nno advice on doubtful readings: read {readings} again; found the same, write "
        f'read_again = "{readings}"'
    )


def layout_to_build(
    options: argparse.Namespace, *, even_failing: bool = False
) -> tuple[Building, Outcome]:
    """Return the one layout to build of those asked for, and all that came of judging them.

    Raises:
        SimError: If it is not sound.
    """
    from sim import run
    from sim.judge.rules import load_rules
    from sim.show.building import building_of

    scene = load(options)
    outcome = run.check(scene, only=options.only, rules=options.rules)
    rules = load_rules(options.rules or scene.rules, Path() if options.rules else scene.folder)
    return building_of(scene, outcome.results, rules, even_failing=even_failing), outcome


def width() -> int:
    """Return how many columns a line may take: the terminal's, at most 110."""
    return max(40, min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns))


def ink() -> Callable[[str, str], str]:
    """Return what colors words: by their meaning on a terminal that has colors, else not at all."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    if plain or not sys.stdout.isatty():
        return lambda meaning, text: text
    return lambda meaning, text: f"\x1b[{COLORS[meaning]}m{text}\x1b[0m" if text else text


def say_caution() -> None:
    """Print the caution that stands below everything."""
    print(textwrap.fill(CAUTION, width()))


def print_json(said: Any) -> None:
    """Print for machines; letters that the stream cannot carry as JSON writes them."""
    carries = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    print(json.dumps(said, indent=1, ensure_ascii=not carries))


@contextmanager
def progress(options: argparse.Namespace) -> Iterator[Progress]:
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
