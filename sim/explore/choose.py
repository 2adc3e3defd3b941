"""Which design to build: a short list of clearly different ones, each carried out and sound."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from sim.crew import each
from sim.errors import SimError
from sim.explore.choose_bases import Base, bases_of, pieces
from sim.explore.choose_pool import Kind, Pool, pool_of
from sim.explore.choose_stock import StockTube
from sim.explore.choose_trial import Choice, Trial
from sim.judge.rule import RuleSet
from sim.judge.whirl_quantities import KMH
from sim.scene.parts import Scene

MOST = 5  # designs of a short list
ENOUGH_SPEED, ENOUGH_CLEAR = 1.5, 0.03  # of top speed; [m]: more of these is worth no part
Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chosen:
    """What was chosen.

    Attributes:
        choices: The short list, less work first.
        beaten: Others that were carried out and are sound, but better in nothing than one of it.
        pools: What was left of every structure, by number of its base.
        bases: The structures looked at.
        left: What was not looked at and why, in sentences.
    """

    choices: tuple[Choice, ...]
    beaten: tuple[Choice, ...]
    bases: tuple[Base, ...]
    pools: Mapping[int, Pool]
    left: tuple[str, ...]


def choose(
    scene: Scene,
    rules: RuleSet,
    stock: Sequence[StockTube],
    progress: Progress,
    only: str | None = None,
) -> Chosen:
    """Return a short list of designs for the vehicle of a scene.

    Args:
        scene: The scene; no reading of it is doubted.
        rules: The rule set.
        stock: Tubes to choose from, the lightest first.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].
        only: Name of the one configuration whose structure is looked at.

    Returns:
        At most five designs, each carried out and sound, clearly different.

    Raises:
        DomainError: If there is no such configuration.
    """
    bases, left = bases_of(scene, only)
    pools: dict[int, Pool] = {}
    orders: list[tuple[Base, Pool, Kind]] = []
    for number, base in enumerate(bases):
        stage = f"look at {pieces(base.shafts)}"
        try:
            pool = pool_of(base.design, rules.rules, stock, partial(progress, stage))
        except SimError as error:
            left.append(f"{pieces(base.shafts).capitalize()}: {error}.")
            continue
        finally:
            progress(stage, 1.0)
        pools[number] = pool
        orders += [(base, pool, kind) for kind in pool.kinds()]
    trial = Trial(scene, rules, stock, only)
    found: list[Choice] = []
    for done, one in enumerate(each(trial.best, orders, "fork", most=2), start=1):
        progress("carry out", done / len(orders))
        if isinstance(one, Choice):
            found.append(one)
    choices = short_list(found)
    return Chosen(
        choices=choices,
        beaten=tuple(one for one in found if one not in choices),
        bases=tuple(bases),
        pools=pools,
        left=tuple(left),
    )


def short_list(found: Sequence[Choice]) -> tuple[Choice, ...]:
    """Return at most five designs, less work first, none that another beats in everything."""
    ranked = sorted(found, key=lambda one: (one.parts, len(one.watches)))
    kept = [
        one for k, one in enumerate(ranked) if not any(_beats(other, one) for other in ranked[:k])
    ]
    return tuple(kept[:MOST])


def _beats(one: Choice, other: Choice) -> bool:
    """Say whether one design, no more work, is as good as another in all that a reader compares."""
    apart = [min(c.nearest[0], ENOUGH_CLEAR) if c.nearest else ENOUGH_CLEAR for c in (one, other)]
    enough = ENOUGH_SPEED * float(one.configuration.vehicle.top_speed) / KMH
    return (
        one.parts <= other.parts
        and min(one.whirl, enough) >= 0.98 * min(other.whirl, enough)
        and one.worst_angle[0] <= other.worst_angle[0] + np.radians(0.5)
        and apart[0] >= apart[1] - 3e-3
        and len(one.watches) <= len(other.watches)
    )
