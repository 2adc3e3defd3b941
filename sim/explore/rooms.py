"""How much room designs have to every limit: standard deviations between value and limit."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from sim.explore.cures_changes import signed
from sim.judge.hold import Held, hold
from sim.judge.rule import Rule
from sim.measure.numbers import Numbers
from sim.scene.parts import Design
from sim.scene.values import opposite

Array = NDArray[np.float64]
Key = tuple[str, str]  # rule and part
FAR = 1e4  # standard deviations; what is farther, or cannot be reached, counts as so far
LEAST = 1e-9, 1e-3  # a spread below the first counts as the second


class Rooms:
    """Limits of one design, and the spread of its samples to measure the room to them by.

    Attributes:
        keys: Rule and part of every limit, F of them.
        may_fail: Whether its rule can fail at all, shape (F,).
        spread: Standard deviation of its value in the samples, shape (F,).
    """

    def __init__(
        self,
        rules: Sequence[Rule],
        samples: Numbers,
        far: Callable[[Held], Array],
        held: Sequence[Held] | None = None,
    ) -> None:
        """Take rules, samples of the design as read, and what of a rule on a part is its distance.

        Args:
            rules: As in ``RuleSet.rules``.
            samples: Of the design as read, at least one of them within reach.
            far: Gives how far beyond its limit each design is, (B,).
            held: Every rule on every part of the samples, where it is at hand.
        """
        self._rules, self._far = rules, far
        found = self.held(samples) if held is None else {one.key: one for one in held}
        self.keys = tuple(found)
        self.may_fail = np.array([one.may_fail for one in found.values()])
        reached = ~samples.lost.any(axis=1)  # as in verdicts, only these count
        wide = np.nanstd([far(one)[reached] for one in found.values()], axis=1)
        self.spread = np.where(wide > LEAST[0], wide, LEAST[1])

    def held(self, numbers: Numbers) -> dict[Key, Held]:
        """Return every rule on every part, by its key."""
        return {one.key: one for one in hold(self._rules, numbers)}

    def of(self, numbers: Numbers, held: Mapping[Key, Held] | None = None) -> Array:
        """Return the room of B designs to every limit [standard deviations], shape (B, F).

        Args:
            numbers: Of the designs.
            held: Every rule on every part of them, where it is at hand.
        """
        found = self.held(numbers) if held is None else held
        rooms = np.full((len(numbers.lost), len(self.keys)), FAR)
        for column, (key, spread) in enumerate(zip(self.keys, self.spread, strict=True)):
            if key in found:
                rooms[:, column] = -self._far(found[key]) / spread
        rooms[np.isnan(rooms)] = -FAR
        rooms[np.asarray(numbers.lost).any(axis=1)] = -FAR
        return np.asarray(np.clip(rooms, -FAR, FAR))


def moved(
    design: Design, drawn: Mapping[str, Array], change: Mapping[str, float]
) -> dict[str, Array]:
    """Return samples of a changed design, by path: as uncertain as it was, moved.

    Args:
        design: As it was read.
        drawn: Samples of it, by path [SI unit, radians], each of shape (n,).
        change: New values by path [SI unit, radians].
    """
    found = dict(drawn)
    count = len(next(iter(drawn.values()))) if drawn else 1
    for path, value in change.items():
        other = opposite(path)
        by = value - signed(design, path)
        if path in found:
            found[path] = found[path] + by
        elif other in found:
            found[other] = found[other] - by
        else:
            found[path] = np.full(count, value)
    return found
