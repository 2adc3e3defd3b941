"""Trials: what changed designs come to, as read, in a few samples, and carried out in full."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from sim.crew import each
from sim.errors import EngineError, SimError
from sim.explore.cures import with_cures
from sim.explore.cures_before import asking
from sim.explore.cures_changes import levers_of, signed
from sim.explore.cures_lever import Lever
from sim.explore.cures_plan import Shares
from sim.explore.evaluate import evaluate
from sim.explore.judged import Judged, findings_on
from sim.explore.rooms import Rooms, moved
from sim.explore.sampling import draw, drawn_values
from sim.explore.sources import sources_of
from sim.judge.findings import Findings
from sim.judge.hold import FAILS, PASSES, Held, hold
from sim.judge.spread import Spread
from sim.scene.parts import Design

Array = NDArray[np.float64]
FEW = 256  # samples of a changed design
Levers = Callable[[Design], tuple[Lever, ...]]


def cured(read: Judged, levers: Levers = levers_of) -> Findings:
    """Return the findings on a configuration with what would cure those that fail or may fail.

    Args:
        read: As it was judged.
        levers: Gives what can be changed about a design.

    Returns:
        The findings.  While readings are likely not what was meant, or were taken as exact, or no
        sample can be reached, or nothing can be changed, they stay as they are.
    """
    design = read.configuration.design
    if read.spread is None or design is None or read.configuration.doubted:
        return read.findings
    if not asking(read.findings) or read.spread.numbers.lost.any(axis=1).all():
        return read.findings
    held, changes = hold(read.rules.rules, read.spread.numbers), levers(design)
    if not held or not changes:
        return read.findings
    return with_cures(read.findings, Tried(read, design, read.spread, held, changes))


class Tried:
    """What changed designs come to under the rules that judged one."""

    def __init__(
        self,
        read: Judged,
        design: Design,
        spread: Spread,
        held: Sequence[Held],
        levers: tuple[Lever, ...],
    ) -> None:
        self.levers = levers
        self.design, self.rules, self.states = design, read.rules, spread.numbers.states
        self.asked = {(finding.rule, finding.where) for finding in asking(read.findings)}
        self.rooms = Rooms(read.rules.rules, spread.numbers, self._far, held)
        self.keys, self.may_fail = self.rooms.keys, self.rooms.may_fail
        self.near = read.measurements.numbers
        self.start = self.look({}, 1)[0]
        sources = sources_of(read.configuration)
        self.drawn = drawn_values(read.configuration, sources, draw(sources, FEW))

    def look(self, values: Mapping[str, Array], rows: int) -> Array:
        """See ``cures.Trials``."""
        other = {p: v for p, v in values.items() if np.any(v != signed(self.design, p))}
        rooms = self.rooms.of(evaluate(self.design, other, self.states, near=self.near))
        return np.broadcast_to(rooms, (rows, len(self.keys)))

    def shares(self, changes: Sequence[Mapping[str, float]]) -> list[Shares]:
        """See ``cures.Trials``; as in verdicts only samples that can be reached count."""
        drawn = [moved(self.design, self.drawn, change) for change in changes]
        paths = dict.fromkeys(path for one in drawn for path in one)
        filled = {path: np.full(FEW, signed(self.design, path)) for path in paths}
        values = {
            path: np.concatenate([o.get(path, filled[path]) for o in drawn]) for path in paths
        }
        numbers = evaluate(self.design, values, self.states, near=self.near)
        kept = ~numbers.lost.any(axis=1).reshape(len(changes), FEW)
        held = self.rooms.held(numbers)
        shape = (*kept.shape, len(self.keys))
        passes, fails, over = np.ones(shape, bool), np.zeros(shape, bool), np.zeros(shape)
        for column, key in enumerate(self.keys):
            if key in held:
                verdict = held[key].verdict.reshape(kept.shape)
                passes[..., column], fails[..., column] = verdict == PASSES, verdict == FAILS
                far = self._far(held[key]).reshape(kept.shape)
                over[..., column] = np.where(kept, far, np.nan)
        gone = np.asarray(np.isnan(over).all(axis=1))  # where no sample is left, as before
        wide = np.nanstd(np.where(gone[:, None], 0.0, over), axis=1) / self.rooms.spread
        return [
            Shares(
                passes=p[k].mean(axis=0) if k.any() else np.zeros(p.shape[1]),
                fails=f[k].mean(axis=0) if k.any() else np.ones(f.shape[1]),
                spread=s,
            )
            for p, f, k, s in zip(passes, fails, kept, np.where(gone, 1.0, wide), strict=True)
        ]

    def carry_out(self, designs: Sequence[Design]) -> list[Findings | None]:
        """See ``cures.Trials``."""
        work = functools.partial(findings_on, rules=self.rules)
        found = list(each(work, designs, "fork", most=2))  # configurations are side by side too
        killed = next((one for one in found if isinstance(one, EngineError)), None)
        if killed is not None:  # which says nothing of the change
            raise killed
        # any other error: the change leads where the parts cannot go
        return [None if isinstance(one, SimError) else one for one in found]

    def _far(self, one: Held) -> Array:
        """Return how far beyond its limit one is, (B,): what is to be cured, where it may fail."""
        return one.short if one.key in self.asked else one.over
