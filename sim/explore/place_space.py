"""The free space for a center bearing: its corners, places to look at, and what its brace takes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from sim import units
from sim.arrays import Array, Marks
from sim.errors import DomainError
from sim.judge.drilling import guide_named
from sim.judge.holes import keeps
from sim.measure.clearance.bodies import BRACKET_HALF, hoop_radius
from sim.measure.clearance.obstacles import apart_from_box
from sim.measure.foot import foot_holes
from sim.scene.parts import Brace, Configuration

REACH = (
    0.300,
    0.040,
    0.060,
)  # aft, aside, up [m] looked at where no [brace] is written: our choice
STEPS = (5, 2, 1)  # how the steps aft, aside and up are to one another
USUAL_GUIDE = "light truck"  # that halfturn template judges by, if no other is asked for
MM, SIXTEENTH, THIRTY_SECOND = 1e-3, units.INCH / 16, units.INCH / 32


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Space:
    """Where the center of a bearing may hang.

    Attributes:
        bearing: Its number.
        low, high: Corners of the box: aft, right, up [m], (3,).
        brace: As the scene writes it, or None where the space was taken from what stands around.
        step: What a tape can set [m].
        now: Where the bearing hangs today [m], (3,).
    """

    bearing: int
    low: Array
    high: Array
    brace: Brace | None
    step: float
    now: Array

    @property
    def paths(self) -> tuple[str, str, str]:
        """Paths of the three coordinates."""
        aft, right, up = (f"bearing.{self.bearing}.{key}" for key in ("aft", "right", "up"))
        return aft, right, up

    @property
    def tape(self) -> Array:
        """Steps aft, aside and up in which a place is told [m], (3,)."""
        along = 5 * MM if self.step == MM else 2 * SIXTEENTH
        return np.array([along, self.step, self.step])

    @property
    def middle(self) -> float:
        """Middle between the corners, to the right [m]: where the slots are centered."""
        return float(self.low[1] + self.high[1]) / 2

    def holds(self, place: Array) -> Marks:
        """Return which places (..., 3) lie in it."""
        inside = (place >= self.low - 1e-9) & (place <= self.high + 1e-9)
        return np.asarray(inside.all(axis=-1))

    def can_hang(self, path: str, places: Array) -> Marks:
        """Return at which places along one axis the bearing can be hung from its brace.

        Args:
            path: The axis, one of ``paths``.
            places: Along it [m], (K,); a quarter of a step off a hole counts as on it.
        """
        axis, off, brace = self.paths.index(path), self.step / 4, self.brace
        apart = np.maximum(self.low[axis] - places, places - self.high[axis])
        if brace is None:
            return np.asarray(apart <= off)
        if axis == 1 and brace.slot is not None:
            apart = np.maximum(apart, np.abs(places - self.middle) - brace.slot)
        if (brace.hole_pitch, None, brace.row_pitch)[axis] is not None:
            ways = _stations(self, brace) if axis == 0 else _heights(self, brace)
            holes = np.array([at for at, *_ in ways])
            apart = np.maximum(apart, np.abs(places[:, None] - holes).min(axis=1))
        return np.asarray(apart <= off)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """How a bearing is set on the brace's own holes.

    Attributes:
        row: Of the brace's hole rows, from below, from 1; None where any height can be had.
        shims: Between the row and the bearing's bracket, which they lower [m].
        hole: Along the frame, from the front, from 1; None where any station can be had.
    """

    row: int | None
    shims: tuple[float, ...]
    hole: int | None


def space_of(configuration: Configuration, bearing: int) -> Space:
    """Return the free space for a bearing.

    Args:
        configuration: One complete vehicle with one driveline.
        bearing: Its number, from 1.

    Returns:
        What [brace] of the scene gives; else what lies within reach of the bearing as it hangs,
        between joints and rails.

    Raises:
        DomainError: If there is no such bearing.
    """
    if not 1 <= bearing <= len(configuration.bearings):
        raise DomainError(f"{configuration.name} has no bearing {bearing}")
    step = MM if configuration.display == "metric" else THIRTY_SECOND
    now = np.asarray(configuration.bearings[bearing - 1].point, float)
    brace = configuration.braces.get(bearing)
    if brace is not None:
        low, high = np.minimum(brace.start, brace.end), np.maximum(brace.start, brace.end)
    else:
        low, high = _within_reach(configuration, bearing, now)
    return Space(bearing=bearing, low=low, high=high, brace=brace, step=step, now=now)


def _within_reach(configuration: Configuration, bearing: int, now: Array) -> tuple[Array, Array]:
    """Return the corners of what lies within reach, between the joints beside and the rails."""
    low, high = now - REACH, now + np.array(REACH)
    ends = [configuration.output.point, *(b.point for b in configuration.bearings)]
    ends.append(configuration.pinion.point)
    low[0] = max(low[0], ends[bearing - 1][0] + REACH[0])
    high[0] = min(high[0], ends[bearing + 1][0] - REACH[0])
    if low[0] > high[0]:  # a short shaft: only where it hangs
        low[0] = high[0] = now[0]
    hoop = hoop_radius(configuration, bearing)
    for rail in configuration.rails:
        inner = rail.apart - rail.flange - hoop
        low[1], high[1] = max(low[1], -inner), min(high[1], inner)
    return np.asarray(np.minimum(low, now)), np.asarray(np.maximum(high, now))


def axes_of(space: Space, most: int) -> tuple[Array, Array, Array]:
    """Return stations, sides and heights of a grid of places, from corner to corner.

    Args:
        space: The free space.
        most: About how many places there shall be [-].

    Returns:
        Aft, right and up [m]; about 5 to 2 to 1 apart, none much finer than a tape.
    """
    size = space.high - space.low
    whole = float(np.prod(np.maximum(size, space.step)))
    unit = max(space.step, float(np.cbrt(whole / (most * math.prod(STEPS)))))
    aft, right, up = (
        np.linspace(low, high, max(1, round((high - low) / (unit * step))) + 1)
        if high - low > space.step
        else np.array([(low + high) / 2])
        for low, high, step in zip(space.low.tolist(), space.high.tolist(), STEPS, strict=True)
    )
    return aft, right, up


def multiples(low: float, high: float, step: float) -> Array:
    """Return the multiples of a step between two values, at least one value [m]."""
    first, last = math.ceil(low / step - 1e-6), math.floor(high / step + 1e-6)
    if first > last:
        return np.array([(low + high) / 2])
    return np.arange(first, last + 1, dtype=float) * step


def free_of_obstacles(configuration: Configuration, space: Space, places: Array) -> Marks:
    """Return at which places (B, 3) the hoop of a bearing stands in no obstacle, (B,).

    Only where no [brace] says that there is room.
    """
    free = np.ones(len(places), bool)
    if space.brace is not None:
        return free
    hoop = hoop_radius(configuration, space.bearing)
    half = np.array([BRACKET_HALF, hoop, hoop])
    for obstacle in configuration.obstacles:
        if obstacle.rides_on != "axle":
            free &= apart_from_box(obstacle, places - half, places + half)[0] > 0
    return free


def feet_keep(configuration: Configuration, space: Space, places: Array) -> Marks | None:
    """Return at which places (B, 3) the holes of the brace's feet keep the usual drilling guide.

    Returns:
        Marks, (B,); None where feet or rails are not known.
    """
    brace = space.brace
    if brace is None or brace.foot is None or not configuration.rails:
        return None
    moved = (places - space.now)[:, [0, 2]]
    if brace.row_pitch is not None:  # the brace stays where it is bolted, whatever the row
        moved[:, 1] = 0.0
    guide, kept = guide_named(USUAL_GUIDE), np.ones(len(places), bool)
    for rail in configuration.rails:
        holes = foot_holes(brace, space.now, rail) + moved[:, None]
        kept &= keeps(rail, brace.foot, holes, guide)
    return kept


def on_holes(space: Space, sides: int = 7) -> tuple[Array, list[Setting]]:
    """Return the places that the brace's own holes, slots and shims give, and how each is set.

    Args:
        space: The free space.
        sides: How many places to look at where a slot leaves any.

    Returns:
        Places [m], (B, 3), within the space, and the setting of each; nothing where the brace has
        neither hole rows nor holes along the frame.
    """
    brace = space.brace
    if brace is None or (brace.row_pitch is None and brace.hole_pitch is None):
        return np.empty((0, 3)), []
    stations = list(_stations(space, brace))
    heights = list(_heights(space, brace))
    aside = _in_slot(space, brace, sides)
    found = [
        ((aft, right, up), Setting(row=row, shims=shims, hole=hole))
        for (aft, hole), right, (up, row, shims) in product(stations, aside, heights)
    ]
    places = np.array([place for place, _ in found]).reshape(-1, 3)
    return places, [setting for _, setting in found]


def setting_at(space: Space, point: Array) -> tuple[Setting, float] | None:
    """Return how a bearing is set nearest to a place, and how much higher that is [m].

    Args:
        space: The free space.
        point: Aft, right, up [m], (3,).

    Returns:
        None where the brace has neither hole rows nor holes along the frame.
    """
    places, settings = on_holes(space)
    if not settings:
        return None
    nearest = int(np.argmin(np.linalg.norm(places - point, axis=-1)))
    return settings[nearest], float(places[nearest][2] - point[2])


def _stations(space: Space, brace: Brace) -> Iterator[tuple[float, int | None]]:
    """Yield stations, at least one, and the number of the hole from the front."""
    if brace.hole_pitch is None:
        fine = multiples(space.low[0], space.high[0], 2 * space.tape[0])
        yield from ((aft, None) for aft in fine.tolist())
        return
    count = math.floor((space.high[0] - space.low[0]) / brace.hole_pitch + 1e-6) + 1
    for number in range(count):
        yield float(space.low[0]) + number * brace.hole_pitch, number + 1


def _heights(space: Space, brace: Brace) -> Iterator[tuple[float, int | None, tuple[float, ...]]]:
    """Yield heights, at least one and each once; the row from below, the fewest shims for it."""
    if brace.row_pitch is None:
        fine = multiples(space.low[2], space.high[2], 2 * space.tape[2])
        yield from ((up, None, ()) for up in fine.tolist())
        return
    rows = math.floor((space.high[2] - space.low[2]) / brace.row_pitch + 1e-6) + 1
    sets = [s for count in range(len(brace.shims) + 1) for s in combinations(brace.shims, count)]
    seen: set[int] = set()
    for shims in sets:
        for row in range(rows):
            up = float(space.low[2]) + row * brace.row_pitch - sum(shims)
            micro = round(up * 1e6)
            if up >= space.low[2] - 1e-9 and micro not in seen:
                seen.add(micro)
                yield up, row + 1, shims


def _in_slot(space: Space, brace: Brace, sides: int) -> list[float]:
    """Return places aside that the slots reach, in steps of a tape."""
    reach = (space.high[1] - space.low[1]) / 2
    reach = reach if brace.slot is None else min(reach, brace.slot)
    step = max(1, math.ceil(2 * reach / (sides - 1) / space.step - 1e-6)) * space.step
    found = multiples(space.middle - reach, space.middle + reach, step)
    return [float(right) for right in found]
