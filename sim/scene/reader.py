"""A scene file: bytes, text, statements, layers, set-ups, checks, Scene; all problems at once."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path as FilePath

from sim.errors import Problem, SceneError
from sim.scene import header
from sim.scene.as_read import design_of
from sim.scene.changes import Change, ChangeError, lay_over, read_change
from sim.scene.checks import check_structure
from sim.scene.doubts import implausible, lowered
from sim.scene.geometry import check_geometry
from sim.scene.header import RULE_SETS, TOP
from sim.scene.keys import Faults
from sim.scene.overlay import (
    Merged,
    check_felt_in,
    check_same_shafts,
    differences,
    doubt_layers,
    merge,
)
from sim.scene.parts import Configuration, Scene
from sim.scene.problems import Problems
from sim.scene.tables.setup import Setup
from sim.scene.text import Path, Tables, decode, read_file, statements
from sim.scene.values import opposite
from sim.scene.words import one_of, quote


def load_scene(
    path: FilePath | str,
    rule_sets: Sequence[str] = RULE_SETS,
    changes: Sequence[str] = (),
    only: str | None = None,
) -> Scene:
    """Return the scene in a file.

    Changes are lines to try in place of those in the file, as in "bearing.1.up = 534 mm"; a ± that
    they do not write stays as it was read. Each changes its key where it lives, or in one
    configuration only; where that is named, only its doubts are told.

    Raises:
        SceneError: With every problem found, if there is one.
    """
    path = FilePath(path)
    return read_scene(read_file(path), path.name, rule_sets, changes, only, path.parent)


def read_scene(
    raw: bytes,
    file: str = "scene.toml",
    rule_sets: Sequence[str] = RULE_SETS,
    changes: Sequence[str] = (),
    only: str | None = None,
    folder: FilePath | None = None,
) -> Scene:
    """Return the scene in the bytes of a file, see ``load_scene``; its stem names the scene.

    A shop's own rule file is in the folder; None where the scene is no file.
    """
    text = decode(raw, file)
    root, lines = statements(text, file)
    if changes:
        read_scene(raw, file, rule_sets, folder=folder)  # the file's own problems come first
    root, tried = try_changes(root, changes, only, file)
    reading = _Reading(root, Problems(file, lines, root, tried))
    configurations, compared = reading.configurations(rule_sets, folder, only)
    stem = re.sub(r"[^A-Za-z0-9_-]+", "_", FilePath(file).stem).strip("_")
    return Scene(
        name=stem or "scene",
        title=root["title"],
        about=root.get("about", ""),
        datum=root["datum"],
        display=root["display"],
        rules=root["rules"],
        configurations=configurations,
        compared=compared,
        doubts=reading.problems.doubts(),
        read_again=reading.read_again,
        text=text,
        digest=hashlib.sha256(raw).hexdigest(),
        folder=folder or FilePath(),
        changes=tuple(changes),
    )


def try_changes(
    root: Tables, changes: Sequence[str], only: str | None, file: str
) -> tuple[Tables, dict[Path, Change]]:
    """Return the tables of a valid scene with changes written over them.

    Raises:
        SceneError: If one of them is no line of a scene.
    """
    if not changes:
        return root, {}
    reading = _Reading(root, Problems(file, {}, root))
    reading.lay()
    try:
        names = list(reading.named)
        if only is not None and only not in names:
            raise ChangeError(f"no configuration {quote(only)}; {one_of(only, names)}")
        return lay_over(root, [read_change(line) for line in changes], reading.merged, only)
    except ChangeError as error:
        raise SceneError(file, [Problem(0, str(error))]) from None


class _Reading:
    """One pass over the tables of one file."""

    def __init__(self, root: Tables, problems: Problems) -> None:
        self.root, self.problems = root, problems
        self.shared = {k: v for k, v in root.items() if k not in (*TOP, "configuration")}
        self.named: dict[str, Tables] = {}
        self.chains: dict[str, list[str]] = {}
        self.merged: dict[str, Merged] = {}
        self.setups: dict[str, Setup] = {}
        self.built: dict[str, Configuration] = {}
        self.read_again: tuple[str, ...] = ()

    def configurations(
        self, rule_sets: Sequence[str], folder: FilePath | None, only: str | None
    ) -> tuple[tuple[Configuration, ...], tuple[str, str]]:
        """Return the configurations, and the names of the two compared; raise if any is wrong."""
        add = self.problems.add
        header.check_header(self.root, rule_sets, folder, add)
        self.lay()
        for name, merged in self.merged.items():
            self._validate(name, merged)
        if not self.named:  # the shared part can still be looked at
            self._validate("", merge(self.shared, []), partial=True)
            self.problems.stop()
        self.problems.say_missing(self.named)
        for name in sorted(self.setups, key=lambda name: len(self.chains[name])):
            self._check(name)
        self.problems.stop()
        compared = header.compared(self.root, list(self.named), add)
        self.problems.stop()
        self._doubt(only)
        return tuple(self.built[name] for name in self.named), compared

    def lay(self) -> None:
        """Lay every configuration over what it starts from."""
        self.named = header.named_configurations(self.root, self.problems.add)
        for name in self.named:
            self._lay(name)

    def _lay(self, name: str) -> None:
        table, add = self.named[name], self.problems.add
        if "about" in table:
            path, said = ("configuration", name, "about"), f'configuration "{name}", about'
            header.check_text(path, table["about"], said, header.ABOUT.most, add)
        names = header.chain(name, self.named, add)
        if names is not None:
            self.chains[name] = names
            self.merged[name] = merge(self.shared, [(n, self.named[n]) for n in names])

    def _validate(self, name: str, merged: Merged, *, partial: bool = False) -> None:
        """Validate one complete set-up, or note what is wrong with it."""
        faults = Faults()
        setup = Setup.read(merged.tables, (), faults)
        if setup is not None:
            self.setups[name] = setup
        self.problems.faults(name, faults, merged, partial=partial)

    def _check(self, name: str) -> None:
        """Check one set-up across its keys, and build it."""
        setup = self.setups[name]
        found = [
            *check_structure(setup),
            *check_same_shafts(name, self.named, self.setups),
            *check_felt_in(name, setup, self.named),
        ]
        if not found:
            self.built[name] = self._build(name, setup)
            found = list(check_geometry(setup, self.built[name]))
        for path, said in found:
            self.problems.once(path, said, self.merged[name])

    def _build(self, name: str, setup: Setup) -> Configuration:
        """Build one configuration; the one whose shafts it carries was built before."""
        table, origin = self.named[name], self.merged[name].origin
        lines = {path: self.problems.line(home) for path, home in origin.items()}
        cut_as = self.built.get(table.get("same_shafts_as", ""))
        display = self.problems.display
        design = design_of(setup, name, lines, display, cut_as.design if cut_as else None)
        return replace(
            design.build(),
            about=table.get("about", ""),
            like=str(table.get("like") or table.get("same_shafts_as") or ""),
            differences=self._differences(name),
        )

    def _differences(self, name: str) -> tuple[str, ...]:
        """Return what a configuration changes, in words."""
        before = self.chains[name][:-1]
        base = self.merged[before[-1]] if before else merge(self.shared, [])
        after = self.merged[name]
        return tuple(differences(base.tables, after.tables, alone=not before))

    def _doubt(self, only: str | None) -> None:
        """Note what is doubtful in a valid scene, or in one configuration of it."""
        for path, said in doubt_layers(self.shared, self.merged, self.named):
            self.problems.doubt(path, said)
        every = (reading for one in self.built.values() for reading in one.readings.values())
        written = dict.fromkeys(reading.path for reading in every if reading.line)
        self.read_again = header.read_again(self.root, list(written), self.problems.add)
        self.problems.stop()
        again = {*self.read_again, *map(opposite, self.read_again)}
        found = {name: list(implausible(self.setups[name], c)) for name, c in self.built.items()}
        for name, configuration in self.built.items():
            setup, merged = self.setups[name], self.merged[name]
            misread = [one for one in found[name] if ".".join(one[0]) not in again]
            for path, said in (*misread, *lowered(setup, configuration.display)):
                whose = [other for other, told in found.items() if path in dict(told)]
                some = whose if len(whose) < len(found) else ()
                if only in (None, name):
                    self.problems.doubt(path, said, merged, some)
            doubted = tuple(".".join(path) for path, _ in misread)
            self.built[name] = replace(configuration, doubted=doubted)
