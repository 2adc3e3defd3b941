"""What a command came to so far: results, files, times, and what could not be done."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from sim.errors import SimError
from sim.judge.rule import RuleSet
from sim.scene.parts import Scene
from sim.show.result import Result

Progress = Callable[[str, float], None]


@dataclass(slots=True, kw_only=True, eq=False)
class Outcome:
    """What a command came to so far.

    Attributes:
        scene: The scene.
        rules: The rule set that judges.
        folder: Where its outputs go.
        alone: Whether one configuration was asked for, so that the folder is its own.
        results: One a configuration that could be judged, in the order of the scene.
        files: Every file written, in the order written.
        seconds: Wall time of every stage [s].
        troubles: What could not be done, a sentence each.
    """

    scene: Scene
    rules: RuleSet
    folder: Path
    alone: bool = False
    results: tuple[Result, ...] = ()
    files: list[Path] = field(default_factory=list)
    seconds: dict[str, float] = field(default_factory=dict)
    troubles: list[str] = field(default_factory=list)

    @property
    def fails(self) -> bool:
        """Whether any finding fails."""
        return any(result.findings.fails for result in self.results)

    @property
    def may_fail(self) -> bool:
        """Whether any finding fails, or cannot be told from failing."""
        return any(result.findings.may_fail for result in self.results)

    def folder_of(self, result: Result) -> Path:
        """Return the folder of one configuration's files."""
        return self.folder if self.alone else self.folder / result.configuration.name

    @contextmanager
    def stage(self, name: str, progress: Progress) -> Iterator[Callable[[int, int], None]]:
        """Time a stage; give a callback that takes how many of how many are done."""
        began = time.perf_counter()
        progress(name, 0.0)
        yield lambda done, whole: progress(name, done / max(whole, 1))
        progress(name, 1.0)
        self.seconds[name] = round(time.perf_counter() - began, 3)

    @contextmanager
    def attempt(self, what: str) -> Iterator[None]:
        """Note what cannot be done in one sentence, and go on.

        Args:
            what: What is missing then, as in "two-piece: no stills" [text].
        """
        try:
            yield
        except SimError as error:
            self.trouble(what, error)

    def trouble(self, what: str, error: SimError) -> None:
        """Note what could not be done, and why."""
        self.troubles.append(f"{what}: {error}")
