"""place: where a center bearing may hang."""

from __future__ import annotations

import argparse
from pathlib import Path
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
        "--bearing", type=int, metavar="N", help="this bearing alone, from the front; default: each"
    )


def _place(options: argparse.Namespace) -> int:
    from sim.errors import SimError
    from sim.explore.place import window_of
    from sim.judge.rules import load_rules
    from sim.show.plots.window import draw_window
    from sim.show.window import NO_BEARING, window_json, window_lines

    scene = load(options)
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
    if options.json:
        print_json(window_json(windows, files))
    else:
        for window in windows:
            for line in window_lines(window, width(), ink()):
                print(line)
            print()
        bare = [c.name for c in _asked(scene, options.only) if not c.bearings]
        for name in bare:
            print(f"{name}: {NO_BEARING}")
        if files:
            print(f"{len(files)} files in {options.out / scene.name}")
        say_caution()
    return refuse("\n".join(troubles)) if troubles else 0


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
