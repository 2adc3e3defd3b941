"""The moving parts as round rods: straight segments with a radius, one set a posture.

Postures are rows: P of one design, or (S, B) of B designs, whose own numbers are floats or arrays
of shape (B,).

A part that turns is replaced by what it sweeps in a full turn about its own axis, so nothing
depends on where in the turn it stands.  The body of a shaft runs from joint center to joint
center with the radius of its tube: splines, sleeve, stub and the barrel of a midship slip yoke lie
inside it, however far the spline is drawn out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.arrays import Array, Marks
from sim.motion.leaf_links import three_links
from sim.motion.postures import Postures
from sim.scene.parts import Configuration, LeafSprings, Obstacle

RIGHT = np.array([0.0, 1.0, 0.0])
EARS = 0.5
"""Ears of a yoke reach this share of the swing radius along the shaft: no source."""

REFERENCE_TIRE = 0.39
"""Tire radius [m] of a live axle with the sizes below; others in proportion, no source."""

NOSE, BOWL, AXLE_TUBE = 0.065, 0.150, 0.050
"""Radius of a pinion nose, of the housing around the ring gear, of an axle tube [m]."""

LEAF_PACK = 0.050
"""A leaf pack, with its bow, about the chord from its seat to an eye [m]: no source."""

BRACKET_HALF = 0.021
"""Half of a bearing's bracket along the shaft [m]: no source."""

FOOT = (0.046, 0.018)
"""How far the foot of a bracket stands out beside and above its hoop [m]: no source."""

RUBBER = 0.026
"""Rubber of a center bearing [m], about a race of 0.37 times its tube: no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rods:
    """Round rods in every posture; R of them."""

    part: tuple[str, ...]  # name of the part that each belongs to, as in "shaft 1"
    start: Array  # of their axes [m], (..., R, 3)
    end: Array  # of their axes [m], (..., R, 3)
    radius: Array  # their radii [m], (R,), or (B, R) of many designs
    on_axle: Marks  # whether each is bolted to the axle, (R,)
    known: Marks  # whether the scene gives its size; others are assumed, (R,)

    def only(self, which: Marks) -> Rods:
        """Return some of the rods; which of them, (R,)."""
        return Rods(
            part=tuple(name for name, kept in zip(self.part, which, strict=True) if kept),
            start=self.start[..., which, :],
            end=self.end[..., which, :],
            radius=self.radius[..., which],
            on_axle=self.on_axle[which],
            known=self.known[which],
        )

    def parts(self, *, off_axle: bool = False) -> dict[str, list[int]]:
        """Return the numbers of the rods of every part, or of those that are not on the axle."""
        found: dict[str, list[int]] = {}
        for number, name in enumerate(self.part):
            if not (off_axle and self.on_axle[number]):
                found.setdefault(name, []).append(number)
        return found


@dataclass(frozen=True, slots=True, eq=False)
class _Rod:
    part: str
    start: Array
    end: Array
    radius: Any
    on_axle: bool = False
    known: bool = False


def rods_of(configuration: Configuration, held: Postures) -> Rods:
    """Return every moving part of a configuration in given postures, what is on the axle last."""
    rods = [
        *_shafts(configuration, held),
        *_joints(configuration, held),
        *_slip_yoke(configuration, held),
        *_axle(configuration, held),
        *_leaf_packs(configuration, held),
    ]
    return Rods(
        part=tuple(rod.part for rod in rods),
        start=_stacked([rod.start for rod in rods]),
        end=_stacked([rod.end for rod in rods]),
        radius=np.stack(np.broadcast_arrays(*[rod.radius for rod in rods]), axis=-1),
        on_axle=np.array([rod.on_axle for rod in rods]),
        known=np.array([rod.known for rod in rods]),
    )


def seen_from_axle(configuration: Configuration, held: Postures, rods: Rods) -> Rods:
    """Return the rods as the axle sees them, in the vehicle's axes at ride height."""

    def seen(point: Array) -> Array:
        apart = point - held.axle_center[..., None, :]
        return np.asarray(apart @ held.axle_rotation + configuration.axle[..., None, :])

    return replace(rods, start=seen(rods.start), end=seen(rods.end))


def may_touch(rods: Rods, obstacle: Obstacle) -> Marks:
    """Return which rods an obstacle is held against, (R,): not those it is bolted to."""
    if obstacle.rides_on == "axle":
        return ~rods.on_axle
    return np.ones(len(rods.part), bool)


def beside_brackets(obstacle: Obstacle) -> bool:
    """Say whether an obstacle is held against the brackets of center bearings.

    A bracket is bolted to the frame: what is fixed to the frame too may carry it.
    """
    fixed = obstacle.kind in ("fixed part", "floor") and not np.any(obstacle.moves)
    return not fixed and obstacle.rides_on != "axle"


def brackets(configuration: Configuration) -> Iterator[tuple[str, Array, Array]]:
    """Yield name, low and high corner [m] of two boxes for every bearing: hoop and foot."""
    for number, bearing in enumerate(configuration.bearings, start=1):
        hoop, name = hoop_radius(configuration, number), f"bearing {number}"
        half = _vector(BRACKET_HALF, hoop, hoop)
        yield name, bearing.point - half, bearing.point + half
        low = bearing.point + _vector(-BRACKET_HALF, -hoop - FOOT[0], hoop)
        yield name, low, low + _vector(2 * BRACKET_HALF, 2 * (hoop + FOOT[0]), FOOT[1])


def hoop_radius(configuration: Configuration, number: int) -> float:
    """Return the radius of the bracket around a center bearing [m], bearings from 1."""
    return 0.37 * configuration.shafts[number - 1].tube.outside + RUBBER


def _vector(aft: Any, right: Any, up: Any) -> Array:
    """Return vectors of numbers or arrays of one shape, (..., 3)."""
    return np.stack(np.broadcast_arrays(aft, right, up), axis=-1)


def _stacked(places: list[Array]) -> Array:
    """Return places of rods side by side, (..., R, 3); in memory components first, then rods."""
    first = np.empty((3, len(places), *places[0].shape[:-1]))
    np.stack([np.moveaxis(place, -1, 0) for place in places], axis=1, out=first)
    return np.moveaxis(first, (0, 1), (-1, -2))


def _column(value: Any) -> Array:
    """Return numbers to multiply vectors by, (..., 1)."""
    return np.asarray(value, float)[..., None]


def _shafts(configuration: Configuration, held: Postures) -> Iterator[_Rod]:
    """Yield the shafts, joint center to joint center."""
    center = held.joint_center
    for i, shaft in enumerate(configuration.shafts):
        radius = shaft.tube.outside / 2
        yield _Rod(f"shaft {i + 1}", center[..., i, :], center[..., i + 1, :], radius, known=True)


def _joints(configuration: Configuration, held: Postures) -> Iterator[_Rod]:
    """Yield both yokes of every joint, as long as their ears, with its swing radius."""
    for i, joint in enumerate(configuration.joints):
        reading = configuration.readings.get(f"joint.{i + 1}.swing_radius")
        known = reading is not None and reading.status == "measured"
        center = held.joint_center[..., i, :]
        reach = EARS * joint.swing_radius + joint.between_crosses / 2
        for side, member in ((-reach, i), (reach, i + 1)):
            end = center + _column(side) * held.axis[..., member, :]
            yield _Rod(f"joint {i + 1}", center, end, joint.swing_radius, known=known)


def _slip_yoke(configuration: Configuration, held: Postures) -> Iterator[_Rod]:
    """Yield what a slip yoke on the output shows of its barrel, no thicker than its tube."""
    if configuration.spline.at == "output":
        bare = configuration.spline.gap + held.slip
    elif configuration.output_spline is not None:
        bare = configuration.output_spline.gap + held.output_slip
    else:
        return
    reach = np.maximum(bare, 0.0) + configuration.joints[0].swing_radius
    center, radius = held.joint_center[..., 0, :], configuration.shafts[0].tube.outside / 2
    end = center - _column(reach) * held.axis[..., 0, :]
    yield _Rod("slip yoke", center, end, radius)


def _axle(configuration: Configuration, held: Postures) -> Iterator[_Rod]:
    """Yield pinion nose, housing and axle tubes; a final drive on the frame has no tubes."""
    size = configuration.vehicle.tire_radius / REFERENCE_TIRE
    center = held.axle_center
    pinion, axis = held.joint_center[..., -1, :], held.axis[..., -1, :]
    run = ((center - pinion) * axis).sum(axis=-1, keepdims=True)
    swing = _column(configuration.joints[-1].swing_radius)
    front, rear = pinion + np.minimum(swing, run) * axis, pinion + run * axis
    yield _Rod("pinion nose", front, rear, NOSE * size, on_axle=True)
    yield _Rod("axle housing", center, center, BOWL * size, on_axle=True)
    track = configuration.vehicle.track
    if not configuration.on_frame and track is not None:
        across = held.axle_rotation[..., 1] * _column(track / 2)
        yield _Rod("axle tubes", center - across, center + across, AXLE_TUBE * size, on_axle=True)


def _leaf_packs(configuration: Configuration, held: Postures) -> Iterator[_Rod]:
    """Yield the halves of both leaf packs, as chords from seat to eye."""
    springs = configuration.suspension
    if not isinstance(springs, LeafSprings):
        return
    links = three_links(springs, configuration.axle)
    along, across, up = np.moveaxis(held.axle_rotation, -1, 0)
    slope = np.arctan2(-along[..., 2], along[..., 0])
    for name, side in (("left leaf pack", -0.5), ("right leaf pack", 0.5)):
        beside = _column(side * springs.spacing)
        middle = held.axle_center + beside * across
        seat = middle + _column(springs.seat_height) * up
        rear = links.pose(middle[..., 2], slope).rear
        behind = _vector(np.cos(rear), 0.0, -np.sin(rear))
        eye = seat + _column(links.behind) * along + _column(links.rear_arm) * behind
        front = np.broadcast_to(springs.front_eye + beside * RIGHT, seat.shape)
        for end in (front, eye):
            yield _Rod(name, seat, end, LEAF_PACK, on_axle=True)
