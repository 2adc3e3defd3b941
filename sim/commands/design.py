"""design: which design to build, of all that the scene leaves room for."""

from __future__ import annotations

import argparse
import shlex
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
    from sim.explore.choose import Chosen
    from sim.judge.rule import RuleSet
    from sim.scene.parts import Scene

NOT_WRITTEN = "nothing was written: no design is sound"


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    parser = add_command(
        commands, "design", _design, "which design to build: a short list, each one carried out"
    )
    parser.add_argument(
        "--stock", type=Path, metavar="FILE", help="tubes to choose from, in place of our list"
    )
    parser.add_argument(
        "--write", metavar="NAME", help="append one to the scene as a configuration of that name"
    )
    parser.add_argument(
        "--pick", type=int, default=1, metavar="K", help="which of the list to write (default: 1)"
    )


def _design(options: argparse.Namespace) -> int:
    from sim.explore.choose import choose
    from sim.explore.choose_reasons import least_of
    from sim.explore.choose_stock import read_stock
    from sim.explore.choose_trial import Trial
    from sim.judge.rules import load_rules
    from sim.scene.append import check_name
    from sim.scene.text import read_file
    from sim.show.choices import choice_lines
    from sim.show.choices_json import choice_json

    scene = load(options)
    if options.write is not None:
        if scene.changes:
            return refuse("--write goes without --try: what is tried does not stand in the scene")
        check_name(read_file(options.scene), options.scene.name, options.write)
    if doubted := doubted_in(scene, scene.configurations):
        return refuse(doubted)
    stock = read_stock(options.stock)
    named = options.rules or scene.rules
    rules = load_rules(named, Path() if options.rules else scene.folder)
    with progress(options) as show:
        chosen = choose(scene, rules, stock, show, options.only)
        nothing = None
        if not chosen.choices:
            nothing = least_of(Trial(scene, rules, stock, options.only), chosen, show)
    written = None
    if options.write is not None and chosen.choices:
        if not 1 <= options.pick <= len(chosen.choices):
            return refuse(f"--pick {options.pick}: there are {len(chosen.choices)} sound designs")
        written = _write(options, scene, rules, chosen)
    if options.json:
        print_json(choice_json(scene, rules, chosen, nothing, written))
        return 0 if written == options.write else refuse(NOT_WRITTEN)
    for line in choice_lines(scene, rules, chosen, nothing, _again(options), width(), ink()):
        print(line)
    if written is not None:
        which = f"{shlex.quote(str(options.scene))} --only {shlex.quote(written)}"
        print(
            f'Written: configuration "{written}" in {options.scene}.  Next: halfturn answer {which}'
        )
    say_caution()
    return 0 if written == options.write else refuse(NOT_WRITTEN)


def _again(options: argparse.Namespace) -> str:
    """Return the command as it was given, to be given again."""
    given = [("--only", options.only), ("--rules", options.rules), ("--stock", options.stock)]
    words = [word for name, value in given if value is not None for word in (name, str(value))]
    return shlex.join(["halfturn", "design", str(options.scene), *words])


def _write(options: argparse.Namespace, scene: Scene, rules: RuleSet, chosen: Chosen) -> str:
    """Append the picked design to the scene file; return its name.

    Raises:
        SimError: If the file was changed meanwhile, or it is not sound once it stands there.
    """
    from sim.errors import EngineError
    from sim.explore.choose_trial import addition_of, is_sound
    from sim.explore.judged import judged
    from sim.scene.append import appended
    from sim.scene.reader import read_scene
    from sim.show.choices import buys_words, looked_at, title
    from sim.show.files import write_bytes

    file, choice = options.scene.resolve(), chosen.choices[options.pick - 1]
    raw = unchanged(scene, file)
    words = f"{title(choice, scene)}: {buys_words(choice, scene)}"
    about = f"{words[:1].upper()}{words[1:]}"
    new = addition_of(choice, options.write, about, looked_at(chosen))
    whole = appended(raw, file.name, new, file.parent)
    read = read_scene(whole, file.name, folder=file.parent).configuration(options.write)
    if not is_sound(judged(read, rules).findings):
        raise EngineError(f"{options.write} is not sound once it is read back; nothing was written")
    write_bytes(file, whole)
    return str(options.write)
