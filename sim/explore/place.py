"""Where a center bearing may hang: the window of places, the best ones, and what bounds it.

Every place of a grid is looked at as read; the roomiest are sampled, and the best carried out:
written into the scene, solved, measured, judged and weighed as ``check`` would.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np

from sim.arrays import Array, Marks
from sim.crew import each
from sim.errors import SimError
from sim.explore.cures_changes import signed
from sim.explore.cures_lines import carried_out, lines
from sim.explore.evaluate import evaluate
from sim.explore.judged import findings_on
from sim.explore.place_look import Looked
from sim.explore.place_space import Setting, Space, axes_of, free_of_obstacles, on_holes, space_of
from sim.explore.rooms import Key
from sim.judge.findings import Finding, Findings
from sim.judge.judge import judge_numbers, rank
from sim.judge.rule import RuleSet
from sim.measure.clearance.clearance import measure_clearances
from sim.scene.parts import Configuration, Design

PLACES = 60_000  # of the grid, about
HANGING = 0.003  # [m] by which a bearing hung with care may be off: common practice, no source
SURE = 0.95  # share of the samples that keep each limit
SAMPLED, CARRIED_OUT = 12, 3  # places that are sampled; those that are carried out
APART = (5, 3, 3)  # steps aft, aside or up by which sampled places differ
AROUND = ((-2, 3), (-3, 4), (-3, 4))  # tape steps around them that are looked at
SAID = 4  # limits that one sentence can name
Tell = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Place:
    """One place of the bearing.

    Attributes:
        point: Aft, right, up [m], (3,).
        room: Standard deviations to the nearest limit [-].
        tightest: Rule and part of that limit.
        setting: How it is set on the brace's own holes; None where it needs none.
        changes: Lines of the scene that hang the bearing there.
        findings: Once it was carried out; None where it was not, or the parts cannot go there.
    """

    point: Array
    room: float
    tightest: Key
    setting: Setting | None
    changes: tuple[str, ...]
    findings: Findings | None

    @property
    def sound(self) -> bool:
        """Whether it was carried out, and no finding fails or cannot be told from failing."""
        return self.findings is not None and not self.open

    @property
    def open(self) -> list[Finding]:
        """What fails there or cannot be told from failing, worst first."""
        found = self.findings.findings if self.findings else ()
        return [finding for finding in found if rank(finding)[0] < 2]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Window:
    """The places of one bearing.

    Attributes:
        configuration: As read.
        looked: What was looked at, with the free space and the limits.
        axes: Stations, sides and heights of the grid [m], (X,), (Y,), (Z,).
        rooms: To every limit [standard deviations], (X, Y, Z, F); NaN where an obstacle stands.
        best: The place with most room that is sound; else the one that came nearest, or None.
        on_brace: The same on the brace's own holes, where it has some.
        width: How far the window reaches forward and aft, left and right, down and up of the best
            place [m], (3, 2); each end certified over continuous motion.
        ends: Limit that is broken beyond each end, None where the free space ends, six of them.
        hangs: Whether all places within the error of hanging around the best one are open.
        in_the_way: Limits that leave no place: one that each place breaks, or the fewest that
            exclude one another; empty where places are open.
    """

    configuration: Configuration
    looked: Looked
    axes: tuple[Array, Array, Array]
    rooms: Array
    best: Place | None
    on_brace: Place | None
    width: Array
    ends: tuple[Key | None, ...]
    hangs: bool
    in_the_way: tuple[Key, ...]

    @property
    def space(self) -> Space:
        """The free space."""
        return self.looked.space

    @property
    def open(self) -> Marks:
        """Which places of the grid break no limit, (X, Y, Z)."""
        return np.asarray(self.rooms.min(axis=-1) >= 0)  # NaN is not

    @property
    def sound(self) -> Place | None:
        """The best sound place, wherever it is; None without one."""
        return next((p for p in (self.best, self.on_brace) if p is not None and p.sound), None)


def window_of(
    configuration: Configuration,
    rules: RuleSet,
    bearing: int = 1,
    *,
    places: int = PLACES,
    tell: Tell = lambda stage, share: None,
) -> Window:
    """Return where a bearing may hang.

    Args:
        configuration: With that bearing, built from a design.
        rules: That judge every place.
        bearing: Its number, from 1.
        places: How many to look at, about.
        tell: Is told what is done, and which share of it.

    Returns:
        The window, with its best places carried out.

    Raises:
        DomainError: If there is no such bearing.
        GeometryError: If the parts cannot reach a state as they stand.
    """
    space = space_of(configuration, bearing)
    looked = Looked(configuration, rules, space)
    axes = axes_of(space, places)
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    free = free_of_obstacles(configuration, space, grid)
    rooms = np.full((len(grid), len(looked.keys)), np.nan, np.float32)
    said = f"{configuration.name}: places"
    rooms[free] = looked.look(grid[free], lambda share: tell(said, share))
    own, settings = on_holes(space)
    best = _best(looked, rules, *_refined(looked, grid[free], rooms[free]), [])
    on_brace = _best(looked, rules, own, looked.look(own), settings) if settings else None
    middle = next((p for p in (best, on_brace) if p is not None and p.room >= 0), None)
    width, ends, hangs = _around(looked, rules, middle)
    return Window(
        configuration=configuration,
        looked=looked,
        axes=axes,
        rooms=rooms.reshape(*(len(axis) for axis in axes), -1),
        best=best,
        on_brace=on_brace,
        width=width,
        ends=ends,
        hangs=hangs,
        in_the_way=() if middle is not None else _in_the_way(looked.keys, rooms[free]),
    )


def _refined(looked: Looked, places: Array, rooms: Array) -> tuple[Array, Array]:
    """Return places that a tape can set around the roomiest, and their rooms."""
    if not len(places):
        return places, rooms
    tape = looked.space.tape
    around = np.array(list(product(*(range(*ends) for ends in AROUND)))) * tape
    first = _apart(looked.space, places, rooms.min(axis=1))
    near = np.round(places[first] / tape) * tape
    found = np.unique(np.round((near[:, None] + around).reshape(-1, 3), 9), axis=0)
    found = found[looked.space.holds(found)]
    found = found[free_of_obstacles(looked.configuration, looked.space, found)]
    return (found, looked.look(found)) if len(found) else (places, rooms)


def _apart(space: Space, places: Array, room: Array, most: int = SAMPLED) -> list[int]:
    """Return the roomiest places that differ by some steps, the roomiest first."""
    far, chosen = np.array(APART) * space.tape, []
    left = np.argsort(-room, kind="stable")
    while len(left) and len(chosen) < most:
        chosen.append(int(left[0]))
        off = np.abs(places[left] - places[left[0]])
        left = left[(off >= far - 1e-9).any(axis=1)]
    return chosen


def _best(
    looked: Looked,
    rules: RuleSet,
    places: Array,
    rooms: Array,
    settings: Sequence[Setting],
) -> Place | None:
    """Return the roomiest place that is sound; else of those carried out the surest."""
    if not len(places):
        return None
    some = _apart(looked.space, places, rooms.min(axis=1))
    chance = looked.chances(places[some]).min(axis=1)
    order = sorted(range(len(some)), key=lambda k: (chance[k] < SURE, -min(chance[k], SURE)))
    said = [lines(looked.design, _moved(looked, places[some[k]])) for k in order[:CARRIED_OUT]]
    work = functools.partial(findings_on, rules=rules)
    designs = [carried_out(looked.design, changes) for changes in said]
    found = [
        Place(
            point=places[some[k]],
            room=float(rooms[some[k]].min()),
            tightest=looked.keys[int(rooms[some[k]].argmin())],
            setting=settings[some[k]] if settings else None,
            changes=changes,
            findings=None if isinstance(findings, SimError) else findings,
        )
        for k, changes, findings in zip(order, said, each(work, designs, "fork"), strict=False)
    ]
    reached = [place for place in found if place.findings is not None]
    return next((place for place in reached if place.sound), next(iter(reached), None))


def _moved(looked: Looked, point: Array) -> dict[str, float]:
    """Return the values that hang the bearing at a place, those that stay left out."""
    values = dict(zip(looked.space.paths, point.tolist(), strict=True))
    return {path: v for path, v in values.items() if abs(v - signed(looked.design, path)) > 1e-7}


def _around(
    looked: Looked, rules: RuleSet, middle: Place | None
) -> tuple[Array, tuple[Key | None, ...], bool]:
    """Return how far the window reaches around a place, what ends it, and whether it hangs."""
    if middle is None:
        return np.zeros((3, 2)), (None,) * 6, False
    sides = [(axis, way) for axis in range(3) for way in (-1, 1)]
    lines_of = [_line(looked.space, middle.point, axis, way) for axis, way in sides]
    rooms = looked.look(np.concatenate(lines_of))
    cut = np.split(rooms, np.cumsum([len(line) for line in lines_of])[:-1])
    width, ends = np.zeros((3, 2)), []
    counts = [_count_open(room) for room in cut]
    edges = [line[n - 1] for line, n in zip(lines_of, counts, strict=True)]
    kept = _kept(looked, rules, edges)
    for (axis, way), line, room, n, holds in zip(sides, lines_of, cut, counts, kept, strict=True):
        last = n if holds else _certified(looked, rules, line[:n])
        width[axis, (way + 1) // 2] = abs(line[last - 1, axis] - middle.point[axis])
        ends.append(looked.keys[int(room[last].argmin())] if last < len(line) else None)
    off = np.array(list(product((-HANGING, 0.0, HANGING), repeat=3)))
    return width, tuple(ends), bool((looked.look(middle.point + off) >= 0).all())


def _line(space: Space, point: Array, axis: int, way: int) -> Array:
    """Return places from a point to the end of the free space, in steps of a tape, (L, 3)."""
    reach = space.high[axis] - point[axis] if way > 0 else point[axis] - space.low[axis]
    far = np.arange(int(max(reach, 0.0) / space.tape[axis] + 1e-6) + 1) * space.tape[axis]
    line = np.repeat(point[None], len(far), axis=0)
    line[:, axis] += way * far
    return line


def _count_open(rooms: Array) -> int:
    """Return how many places of a line are open before the first that is not, at least one."""
    closed = np.flatnonzero(rooms.min(axis=1) < 0)
    return max(1, int(closed[0]) if len(closed) else len(rooms))


def _certified(looked: Looked, rules: RuleSet, line: Array) -> int:
    """Return how many places of an open line hold over continuous motion, by halves."""
    low, high = 1, len(line)  # the first holds: it was carried out; the last does not
    while high - low > 1:
        middle = (low + high) // 2
        if _kept(looked, rules, [line[middle - 1]])[0]:
            low = middle
        else:
            high = middle
    return low


def _kept(looked: Looked, rules: RuleSet, places: Sequence[Array]) -> list[bool]:
    """Return whether places break no limit over continuous motion, clearance certified."""
    work = functools.partial(_fails_nothing, rules=rules)
    designs = [looked.design.vary(_moved(looked, place)) for place in places]
    return [found is True for found in each(work, designs, "fork")]


def _fails_nothing(design: Design, rules: RuleSet) -> bool:
    """Say whether no finding on a design fails, every reading taken as exact."""
    numbers = evaluate(design, deep=True)
    if numbers.lost.any():
        return False
    near, _ = measure_clearances(numbers.configuration, numbers.states, start=numbers.start)
    return not judge_numbers(replace(numbers, near=near), rules).fails


def _in_the_way(keys: Sequence[Key], rooms: Array) -> tuple[Key, ...]:
    """Return the fewest limits that together leave no place, the worst first."""
    fails = rooms < 0
    alone = np.flatnonzero(fails.all(axis=0))
    if len(alone):
        return tuple(keys[k] for k in sorted(alone, key=lambda k: rooms[:, k].max())[:SAID])
    pairs = [
        (float(np.minimum(rooms[:, i], rooms[:, j]).max()), i, j)
        for i, j in combinations(np.flatnonzero(fails.any(axis=0)).tolist(), 2)
        if (fails[:, i] | fails[:, j]).all()
    ]
    if pairs:
        _, i, j = min(pairs)
        return keys[i], keys[j]
    chosen: list[int] = []
    left = fails
    while len(left):
        chosen.append(int(left.sum(axis=0).argmax()))
        left = left[~left[:, chosen[-1]]]
    return tuple(keys[k] for k in chosen)
