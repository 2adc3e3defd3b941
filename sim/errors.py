"""Every error that is raised on purpose.

SimError
├── SceneError     the user mends the scene file (exit code 2, no traceback)
├── GeometryError  a state that the parts cannot reach; names configuration and state
├── DomainError    a developer mends the call (also a ValueError)
└── EngineError    the physics engine did not keep its promise (closure, step, settings)
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class SimError(Exception):
    """Root of every error that this package raises on purpose."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a scene.

    Attributes:
        line: Line in the file; 0 where the problem has none (a key missing everywhere).
        text: What is wrong, what is allowed, a hint.
    """

    line: int
    text: str

    def say(self, file: str) -> str:
        """Return the problem as one printable line that editors and terminals can follow."""
        text = printable(self.text)
        text = text if len(text) <= 500 else text[:499] + "…"
        where = f"{printable(file)}:{self.line}" if self.line else printable(file)
        return f"{where}: {text}"


def printable(text: str) -> str:
    """Return a text whose control characters, which would reach the terminal, are spelled out."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


class SceneError(SimError):
    """A scene that cannot be used, with every problem found.

    Attributes:
        file: Name of the scene file.
        problems: Every problem once, in the order of lines.
    """

    MOST_SHOWN = 50

    def __init__(self, file: str, problems: Iterable[Problem]) -> None:
        self.file = file
        self.problems = tuple(sorted(dict.fromkeys(problems), key=lambda p: p.line))
        lines = [problem.say(file) for problem in self.problems[: self.MOST_SHOWN]]
        if len(self.problems) > self.MOST_SHOWN:
            lines.append(
                f"{printable(file)}: and {len(self.problems) - self.MOST_SHOWN} more problems"
            )
        super().__init__("\n".join(lines))

    def __reduce__(self) -> tuple[type[SceneError], tuple[str, tuple[Problem, ...]]]:
        return type(self), (self.file, self.problems)  # a pool of processes sends it on


class GeometryError(SimError):
    """A state that the parts cannot reach.

    Attributes:
        configuration: Name of the configuration.
        state: Label of the state, as in "full droop, hard launch".
        reason: What cannot be, with its numbers and where to look.
    """

    def __init__(self, configuration: str, state: str, reason: str) -> None:
        self.configuration, self.state, self.reason = configuration, state, reason
        super().__init__(f'configuration "{configuration}", {state}: {reason}')

    def __reduce__(self) -> tuple[type[GeometryError], tuple[str, str, str]]:
        return type(self), (self.configuration, self.state, self.reason)


class DomainError(SimError, ValueError):
    """An argument outside the range in which a formula holds."""


class EngineError(SimError):
    """The physics engine did not keep what is asked of it."""
