"""place: where a center bearing may hang."""

from __future__ import annotations

import argparse
import shlex
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

from sim.commands.common import (
    add_command,
    doubted_in,
    ink,
    load,
    print_json,
    progress,
    refuse,
    say_caution,
    unchanged,
    width,
)

if TYPE_CHECKING:
    from sim.explore.place import Window
    from sim.scene.parts import Configuration, Scene


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    parser = add_command(
        commands,
        "place",
        _place,
        "where the center bearing may hang, and the best place",
        writes=True,
    )
    parser.add_argument(
        "--write",
        metavar="NAME",
        help="append the best place to the scene file, as a configuration of this name",
    )
    parser.add_argument(
        "--bearing", type=int, metavar="N", help="this bearing alone, from the front; default: each"
    )


def _place(options: argparse.Namespace) -> int:
    from sim.show.window_json import window_json

    scene = load(options)
    if options.write:
        _may_write(options)
        if doubted := doubted_in(scene, _asked(scene, options.only)):
            return refuse(doubted)
    windows, files, troubles = _look(options, scene)
    written = _write(options, scene, windows) if options.write else None
    if options.write and written is None:
        troubles.append(f'no place is sound: nothing was written as "{options.write}"')
    felt = _felt(scene, written) if written else ""
    if options.json:
        name = written.name if written else None
        print_json(window_json(windows, files, name, felt, troubles))
    else:
        _tell(options, scene, windows, felt, written=written is not None)
        if files:
            print(f"{len(files)} files in {options.out / scene.name}")
        say_caution()
    return refuse("\n".join(troubles)) if troubles else 0


def _look(options: argparse.Namespace, scene: Scene) -> tuple[list[Window], list[Path], list[str]]:
    """Return the window of every bearing, the pictures of them, and what could not be done."""
    from sim.errors import SimError
    from sim.explore.place import window_of
    from sim.judge.rules import load_rules
    from sim.show.plots.window import draw_window

    rules = load_rules(options.rules or scene.rules, Path() if options.rules else scene.folder)
    windows: list[Window] = []
    files: list[Path] = []
    troubles: list[str] = []
    with progress(options) as shown:
        for configuration, number in _bearings(scene, options.only, options.bearing):
            try:
                windows.append(window_of(configuration, rules, number, tell=shown))
            except SimError as error:
                troubles.append(f"{configuration.name}: {error}")
                continue
            folder = options.out / scene.name / configuration.name
            files += draw_window(windows[-1], scene.title, folder)
    return windows, files, troubles


def _tell(
    options: argparse.Namespace, scene: Scene, windows: list[Window], felt: str, *, written: bool
) -> None:
    """Print the windows in words; of what was written, what it does to the complaints."""
    from sim.show.window import NO_BEARING, window_lines

    for window in windows:
        for line in window_lines(window, width(), ink()):
            print(line)
        print()
    for configuration in _asked(scene, options.only):
        if not configuration.bearings:
            print(f"{configuration.name}: {NO_BEARING}")
    if written:
        which = f"{shlex.quote(str(options.scene))} --only {shlex.quote(options.write)}"
        said = f'configuration "{options.write}" was appended to {options.scene}'
        if felt:
            print("\n".join(textwrap.wrap(f"Complaints: {felt}.", width())))
        print(f"{said}.  Next: halfturn answer {which}")


def _felt(scene: Scene, written: Configuration) -> str:
    """Return what a layout that was written does to the complaints of its scene; "" for none."""
    if not written.complaints:
        return ""
    from sim.explore.felt_elsewhere import elsewhere_of
    from sim.show.answer_felt import beside_words

    return beside_words(elsewhere_of(scene, written.complaints), written)


def _may_write(options: argparse.Namespace) -> None:
    """Refuse, before anything is looked at, what could not be written.

    Raises:
        DomainError: If lines are only tried, and so are not in the scene.
        SceneError: If the name is taken or cannot be one.
    """
    from sim.errors import DomainError
    from sim.scene.append import check_name

    if options.tried:
        raise DomainError("--write: first write into the scene what --try tries")
    check_name(options.scene.read_bytes(), str(options.scene), options.write)


def _write(
    options: argparse.Namespace, scene: Scene, windows: list[Window]
) -> Configuration | None:
    """Append the roomiest sound place of all windows to the scene; return it, if there is one."""
    from sim.scene.append import appended
    from sim.scene.reader import read_scene
    from sim.show.files import write_bytes
    from sim.show.window import addition

    sound = [window for window in windows if window.sound]
    if not sound:
        return None
    best = max(sound, key=lambda window: window.sound.room if window.sound else 0.0)
    raw, file = unchanged(scene, options.scene), options.scene.resolve()
    whole = appended(raw, file.name, addition(best, options.write), file.parent)
    write_bytes(file, whole)
    return read_scene(whole, file.name, folder=file.parent).configuration(options.write)


def _asked(scene: Scene, only: str | None) -> tuple[Configuration, ...]:
    """Return the configurations that were asked for."""
    return (scene.configuration(only),) if only else scene.configurations


def _bearings(
    scene: Scene, only: str | None, bearing: int | None
) -> list[tuple[Configuration, int]]:
    """Return what is looked at: every bearing of every configuration that was asked for.

    Raises:
        DomainError: If the bearing that was asked for is in none of them.
    """
    from sim.errors import DomainError

    found = [
        (configuration, number)
        for configuration in _asked(scene, only)
        for number in range(1, len(configuration.bearings) + 1)
        if bearing in (None, number)
    ]
    if not found and bearing is not None:
        most = max(len(configuration.bearings) for configuration in _asked(scene, only))
        has = f"bearings 1 to {most}" if most > 1 else "bearing 1" if most else "no center bearing"
        raise DomainError(f"--bearing {bearing}: there is {has}")
    return found
