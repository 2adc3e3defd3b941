"""Where a center bearing may hang: the window of places, the best ones, and what bounds it.

Every place of a grid is looked at as read; the roomiest are sampled, and the best carried out:
written into the scene, solved, measured, judged and weighed as ``check`` would.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from sim.arrays import Array, Marks
from sim.crew import each
from sim.errors import SimError
from sim.explore.cures_lines import carried_out, lines, on_paper
from sim.explore.judged import findings_on
from sim.explore.place_bounds import around, in_the_way
from sim.explore.place_look import RESERVE, Looked, Rooms32
from sim.explore.place_space import (
    Setting,
    Space,
    axes_of,
    feet_keep,
    free_of_obstacles,
    on_holes,
    space_of,
)
from sim.explore.rooms import Key
from sim.judge.findings import Finding, Findings
from sim.judge.judge import rank
from sim.judge.rule import RuleSet
from sim.scene.parts import Configuration

PLACES = 40_000  # of the grid, about
SURE = 0.95  # share of the samples that keep each limit
SAMPLED, CARRIED_OUT = 6, 4  # places of a kind that are sampled; those that are carried out,
TOGETHER = 2  # so many side by side
APART = (5, 3, 3)  # steps aft, aside or up by which sampled places differ
AROUND = ((-2, 3), (-3, 4), (-3, 4))  # tape steps around them that are looked at
Tell = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Place:
    """One place of the bearing.

    Attributes:
        point: Aft, right, up [m], (3,).
        room: Standard deviations to the nearest limit that can fail [-].
        tightest: Rule and part of that limit.
        keeps: Whether every limit that can fail is kept as read.
        setting: How it is set on the brace's own holes; None where it needs none.
        drilled: Whether the holes of the feet keep the usual drilling guide; None if not known.
        changes: Lines of the scene that hang the bearing there.
        findings: Once it was carried out; None where it was not, or the parts cannot go there.
    """

    point: Array
    room: float
    tightest: Key
    keeps: bool
    setting: Setting | None
    drilled: bool | None
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
        now: The same of the place where it hangs, (F,).
        best: The place with most room that is sound; else the one that came nearest; None where
            no place keeps every limit as read.
        on_brace: The same on the brace's own holes, where it has some; often the best itself.
        middle: Sound, on the brace's own holes first; else what keeps every limit as read; or None.
        width: How far the window reaches forward and aft, left and right, down and up of its
            middle [m], (3, 2); each end certified over continuous motion.
        ends: Limit that is broken beyond each end, None where the free space ends, six of them.
        hangs: Whether all places within the error of hanging around its middle are open.
        in_the_way: Limits that leave no place: one that each place breaks, or the fewest that
            exclude one another; empty where places are open.
    """

    configuration: Configuration
    looked: Looked
    axes: tuple[Array, Array, Array]
    rooms: Rooms32
    now: Rooms32
    best: Place | None
    on_brace: Place | None
    middle: Place | None
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
        return self.looked.keeps(self.rooms)

    def excludes(self, key: Key) -> bool:
        """Say whether every place of the grid breaks a limit."""
        room = self.rooms[..., self.looked.keys.index(key)]
        return not bool((room >= 0).any())

    @property
    def sound(self) -> Place | None:
        """The sound place to hang it at: on the brace's own holes before any between them."""
        return next((p for p in (self.on_brace, self.best) if p is not None and p.sound), None)


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
    spare = _reserves(looked, rooms[free])
    best = _best(looked, rules, spare, *_refined(looked, spare, grid[free], rooms[free]), [])
    on_brace = _best(looked, rules, spare, own, looked.look(own), settings) if settings else None
    if on_brace is not None and (best is None or _merit(on_brace) >= _merit(best)):
        best = on_brace
    kept = [place for place in (on_brace, best) if place is not None and place.keeps]
    middle = max(kept, key=lambda place: place.sound, default=None)
    width, ends, hangs = around(looked, rules, None if middle is None else middle.point)
    return Window(
        configuration=configuration,
        looked=looked,
        axes=axes,
        rooms=rooms.reshape(*(len(axis) for axis in axes), -1),
        now=looked.as_it_hangs(),
        best=best,
        on_brace=on_brace,
        middle=middle,
        width=width,
        ends=ends,
        hangs=hangs,
        in_the_way=in_the_way(looked.must, rooms[free][:, looked.fails]),
    )


def _reserves(looked: Looked, rooms: Rooms32) -> Marks:
    """Return the limits that only watch and that some open place keeps together, (F,).

    The gravest first; what no place can keep does not count.
    """
    counted, left = np.zeros(len(looked.keys), bool), looked.keeps(rooms)
    severity = {rule.id: rule.severity for rule in looked.rules}
    watched = np.flatnonzero(~looked.fails).tolist()
    for k in sorted(watched, key=lambda k: -severity[looked.keys[k][0]]):
        both = left & (rooms[:, k] >= 0)
        if both.any():
            counted[k], left = True, both
    return counted


def _merit(place: Place) -> tuple[bool, int, float]:
    """Return what places are compared by: sound, what is to watch, and room, as it is told."""
    watched = [f for f in place.findings.findings if rank(f)[0] == 2] if place.findings else []
    grave = sum(finding.severity >= RESERVE for finding in watched)
    return place.sound, -grave, round(place.room, 1)


def _refined(
    looked: Looked, reserves: Marks, places: Array, rooms: Rooms32
) -> tuple[Array, Rooms32]:
    """Return places that a tape can set around the roomiest, and their rooms."""
    if not len(places):
        return places, rooms
    tape = looked.space.tape
    around = np.array(list(product(*(range(*ends) for ends in AROUND)))) * tape
    near = np.round(places[_first(looked, reserves, places, rooms)] / tape) * tape
    found = np.unique(np.round((near[:, None] + around).reshape(-1, 3), 9), axis=0)
    found = found[looked.space.holds(found)]
    found = found[free_of_obstacles(looked.configuration, looked.space, found)]
    near_by = looked.look(found) if len(found) else rooms[:0]
    missed = looked.keeps(rooms).any() and not looked.keeps(near_by).any()
    return (places, rooms) if missed or not len(found) else (found, near_by)


def _first(looked: Looked, reserves: Marks, places: Array, rooms: Rooms32) -> list[int]:
    """Return the roomiest places that keep all reserves, then the roomiest of all; some apart.

    Of the first those whose feet can be drilled as usual, if any.
    """
    room = rooms[:, looked.fails].min(axis=1)
    calm = np.flatnonzero((rooms[:, reserves] >= 0).all(axis=1) & (room >= 0))
    drilled = feet_keep(looked.configuration, looked.space, places[calm])
    if drilled is not None and drilled.any():
        calm = calm[drilled]
    some = calm[_apart(looked.space, places[calm], room[calm])].tolist()
    return list(dict.fromkeys([*some, *_apart(looked.space, places, room)]))


def _apart(space: Space, places: Array, room: Rooms32) -> list[int]:
    """Return the roomiest places that differ by some steps, the roomiest first."""
    far = np.array(APART) * space.tape
    chosen: list[int] = []
    aside = np.abs(places[:, 1] - space.now[1])  # the less to move, where it makes no difference
    left = np.lexsort((-room, np.round(aside, 6), -np.round(room, 1)))
    while len(left) and len(chosen) < SAMPLED:
        chosen.append(int(left[0]))
        off = np.abs(places[left] - places[left[0]])
        left = left[(off >= far - 1e-9).any(axis=1)]
    return chosen


def _best(
    looked: Looked,
    rules: RuleSet,
    reserves: Marks,
    places: Array,
    rooms: Rooms32,
    settings: Sequence[Setting],
) -> Place | None:
    """Return the first place that is sound; else of those carried out the surest.

    First come places that keep what is only watched too, then those with most room.
    """
    if not looked.keeps(rooms).any():
        return None
    some = _first(looked, reserves, places, rooms)
    chance = looked.chances(places[some])[:, looked.fails].min(axis=1)
    drilled = feet_keep(looked.configuration, looked.space, places[some])
    order = sorted(range(len(some)), key=lambda k: (chance[k] < SURE, -min(chance[k], SURE)))
    work = functools.partial(findings_on, rules=rules)
    found: list[Place] = []
    while order and len(found) < CARRIED_OUT and not any(place.sound for place in found):
        now, order = order[:TOGETHER], order[TOGETHER:]
        said = [lines(looked.design, looked.moved(places[some[k]])) for k in now]
        designs = [carried_out(looked.design, changes) for changes in said]
        found += [
            Place(
                point=places[some[k]],
                room=float(rooms[some[k], looked.fails].min()),
                tightest=looked.broken(rooms[some[k]]),
                keeps=bool(looked.keeps(rooms[some[k]])),
                setting=settings[some[k]] if settings else None,
                drilled=None if drilled is None else bool(drilled[k]),
                changes=on_paper(looked.configuration, changes),
                findings=None if isinstance(findings, SimError) else findings,
            )
            for k, changes, findings in zip(now, said, each(work, designs, "fork"), strict=True)
        ]
    reached = [place for place in found if place.findings is not None]
    return next((place for place in reached if place.sound), next(iter(reached), None))
