"""Leaf packs with shackles, and side-view links with air springs.

A leaf bends, which a rigid mesh cannot: each half of a pack is made in several bends, of which the
poses show the nearest, hung exactly on its eye and pointing exactly at its seat.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from dataclasses import replace
from typing import assert_never

import numpy as np

from sim.scene.parts import Configuration, FrameMounted, LeafSprings, Links, MeasuredAxle
from sim.world.shapes import paint
from sim.world.shapes.layout import (
    BENDS,
    LINKS,
    SIDES,
    air_spring,
    half_length,
    leaf_group,
    link_ends,
    link_length,
    rail_bottom,
    ride_bends,
    traction_bar,
)
from sim.world.shapes.mesh import (
    Array,
    Body,
    Solid,
    bar,
    body,
    box,
    disc,
    hull,
    lathe,
    ring,
    sweep,
    union,
)
from sim.world.shapes.sizes import half_track, rail_side

LEAVES = (1.0, 0.98, 0.72, 0.46)
"""How far each leaf of a pack reaches from its seat toward the eye [-]."""

THICK, WIDE = 0.0085, 0.060
"""One leaf [m]."""

ARM = 0.018
"""Radius of the tube that carries a link's bracket [m]."""

BAR, BAR_BEYOND = 0.019, 0.07
"""Radius of a traction bar, and how far it reaches through its bush [m]."""

STEPS = 10
"""Corners along a bent leaf; made in many bends, packs hold half of all triangles."""


def spring_parts(configuration: Configuration) -> Iterator[Body]:
    """Make what carries the axle, as far as the scene knows it."""
    suspension = configuration.suspension
    match suspension:
        case LeafSprings():
            yield from _leaf_parts(configuration, suspension)
        case Links():
            yield from _link_parts(configuration, suspension)
        case FrameMounted():
            bar_ = _mount_bar(configuration, suspension)
            yield body("final drive mount", "", bar_, paint.RAIL, ghost=True)
        case MeasuredAxle() | None:
            pass
        case _:
            assert_never(suspension)


def _mount_bar(configuration: Configuration, drive: FrameMounted) -> Solid:
    """Return the crossbar that carries a final drive at its mount, and its legs up to the rails."""
    x, _, z = drive.mount
    side, low = rail_side(configuration) - 0.035, rail_bottom(configuration)
    legs = [bar((x, s * side, z), (x, s * side, low), 0.022, 20) for s in (-1, 1)]
    return union([bar((x, -side - 0.03, z), (x, side + 0.03, z), 0.0245, 20), *legs])


def _leaf_parts(configuration: Configuration, springs: LeafSprings) -> Iterator[Body]:
    """Make the halves of both packs in every bend, shackles and hangers."""
    for half in ("front", "rear"):
        length = half_length(springs, half)
        for number, bend in enumerate(ride_bends(configuration, springs, half).tolist()):
            made = _half_pack(float(length), bend, -1.0 if half == "front" else 1.0)
            for side in SIDES:
                group = leaf_group(side, half, number)
                yield replace(made, name=group, group=group)
    shackle = _shackle(springs.shackle)
    hangers = []
    for side, sign in SIDES.items():
        yield body(f"shackle {side}", f"shackle {side}", shackle, paint.CAST)
        hangers += _hangers(configuration, springs, sign)
    yield body("spring hangers", "", union(hangers), paint.RAIL, ghost=True)
    if springs.wrap_control > 0:
        yield from _traction_bars(configuration, springs)


def _traction_bars(configuration: Configuration, springs: LeafSprings) -> Iterator[Body]:
    """Make a bar a side, sliding in a bush on the frame, and its bracket on the axle."""
    brackets, hangers = [], []
    for side, sign in SIDES.items():
        rear, front = traction_bar(configuration, springs, sign)
        length = float(np.linalg.norm(front - rear))
        rod = disc(0.0, length + BAR_BEYOND, BAR, 28) + disc(-0.03, 0.05, 1.5 * BAR, 28)
        name = f"traction bar {side}"
        yield body(name, name, rod, paint.PLATED)
        brackets.append(_bracket(rear, rear * [1.0, 1.0, 0.0] + configuration.axle * [0, 0, 1.0]))
        root = front * [1.0, 1.0, 0.0] + [0.0, 0.0, rail_bottom(configuration)]
        hangers += [_bracket(front, root, 0.028), _arm(configuration, root)]
    yield body("traction bar brackets", "axle", union(brackets), paint.AXLE)
    yield body("traction bar hangers", "", union(hangers), paint.RAIL, ghost=True)


@functools.lru_cache(maxsize=4 * BENDS)  # the same in every layout
def _half_pack(length: float, bend: float, down: float) -> Body:
    """Return half a pack: eye at the origin, seat on the x axis, leaves stacked toward down.

    The main leaf is an arc whose direction at the seat leans by bend from the line eye to seat.
    """
    leaves = []
    for number, reach in enumerate(LEAVES):
        x = np.linspace(
            length * (1 - reach) if number else 0.012, length + (0.03 if down < 0 else 0.0), STEPS
        )
        z = np.tan(bend) * x * (x - length) / length + down * number * (THICK - 0.0003)
        path = np.stack([x, np.zeros_like(x), z], axis=-1)
        leaves.append(sweep(path, _flat(0.5 * WIDE - 0.0015 * number, 0.5 * THICK)))
    eye = ring(-WIDE / 2, WIDE / 2, 0.008, 0.023, 24).rotate([0, 0, 90])
    bolt = disc(-WIDE / 2 - 0.014, WIDE / 2 + 0.014, 0.010, 16).rotate([0, 0, 90])
    at = 0.62 * length
    high = float(np.tan(bend)) * at * (at - length) / length + down * THICK
    clip = box(
        (at - 0.012, -WIDE / 2 - 0.004, high - 1.7 * THICK),
        (at + 0.012, WIDE / 2 + 0.004, high + 1.7 * THICK),
    )
    return body("half a leaf pack", "", union([*leaves, eye, bolt, clip]), paint.SPRING)


def _flat(half_wide: float, half_thick: float) -> Array:
    """Return the corners of a leaf's section."""
    return np.array(
        [
            (-half_wide, -half_thick),
            (half_wide, -half_thick),
            (half_wide, half_thick),
            (-half_wide, half_thick),
        ]
    )


def _shackle(length: float) -> Solid:
    """Return the two plates of a shackle, x from the pivot to the eye, and its pivot bolt."""
    plates = []
    for y in (-WIDE / 2 - 0.010, WIDE / 2 + 0.004):
        ends = [bar((x, y, 0), (x, y + 0.006, 0), 0.022, 32) for x in (0.0, length)]
        plates.append(hull(*ends))
    bolt = bar((0, -WIDE / 2 - 0.016, 0), (0, WIDE / 2 + 0.016, 0), 0.010, 20)
    bush = bar((0, -WIDE / 2, 0), (0, WIDE / 2, 0), 0.021, 28)
    return union([*plates, bolt, bush])


def _hangers(configuration: Configuration, springs: LeafSprings, sign: float) -> list[Solid]:
    """Return the two hangers of one spring, from the frame rail out and down to its pins."""
    rail, y = sign * rail_side(configuration), sign * springs.spacing / 2
    bottom, out = rail_bottom(configuration), WIDE / 2 + 0.014
    parts = []
    for point in (springs.front_eye, springs.shackle_pivot):
        x, z = point[0], point[2]
        high = max(bottom, z + 0.045)
        for edge in (y - out, y + out - 0.006):
            pin = bar((x, edge, z), (x, edge + 0.006, z), 0.026, 28)
            foot = box((x - 0.048, edge, high + 0.002), (x + 0.048, edge + 0.006, high + 0.010))
            parts.append(hull(pin, foot))
        low, far = min(rail, y - out - 0.002), max(rail, y + out + 0.002)
        parts.append(box((x - 0.050, low, high), (x + 0.050, far, high + 0.012)))
    return parts


def _link_parts(configuration: Configuration, links: Links) -> Iterator[Body]:
    """Make the four links with their brackets, and air springs where the scene parks on them."""
    on_axle: list[Solid] = []
    upper: list[Solid] = []
    lower: list[Solid] = []
    for name, (is_lower, _) in LINKS.items():
        start, end = link_ends(configuration, links, name)
        on_axle.append(_bracket(end, end * [0.0, 1.0, 0.0] + configuration.axle))
        root = start * [1.0, 1.0, 0.0] + [0, 0, rail_bottom(configuration)]
        on_frame = lower if is_lower else upper
        on_frame += [_bracket(start, root, 0.028), _arm(configuration, root)]
    yield body("link brackets", "axle", union(on_axle), paint.AXLE)
    yield body("upper link hangers", "", union(upper), paint.RAIL)
    # these stand between the pinion's joint and who looks from the side
    yield body("lower link hangers", "", union(lower), paint.RAIL, ghost=True, share=paint.CLEAR)
    for name, (is_lower, _) in LINKS.items():
        length = link_length(links, name)
        rod = disc(0.0, length, 0.017 if is_lower else 0.015, 28)
        eyes = [
            bar((x, -0.026, 0), (x, 0.026, 0), 0.027, 28)
            - bar((x, -0.03, 0), (x, 0.03, 0), 0.008, 16)
            for x in (0.0, length)
        ]
        yield body(name, name, union([rod, *eyes]), paint.SPRING)
    spring = air_spring(configuration)
    if spring is None:
        return
    for side, sign in SIDES.items():
        x, y = configuration.axle[0] + 0.125, sign * 0.60 * half_track(configuration)
        low, high, wide = spring.bag_low, spring.bag_high, 0.068
        folds = [(low + 0.012, wide), (0.5 * (low + high), 1.06 * wide), (high - 0.012, wide)]
        bag = lathe([(low, 0), (low, 0.75 * wide), *folds, (high, 0.75 * wide), (high, 0)], 44)
        yield body(f"air bag {side}", "", _upright(bag, x, y), paint.RUBBER)
        plate = disc(high, high + 0.010, 0.8 * wide, 32)
        yield body(f"air bag plate {side}", "", _upright(plate, x, y), paint.CAST)
        foot = configuration.axle[2] - 0.055
        piston = _upright(disc(foot, spring.piston_top, 0.042, 32), x, y)
        arm = box((x - 0.125, y - 0.03, foot + 0.003), (x + 0.036, y + 0.03, foot + 0.015))
        yield body(f"air piston {side}", "axle", piston + arm, paint.CAST)


def _bracket(pin: Array, root: Array, wide: float = 0.040) -> Solid:
    """Return two plates from a link's pin to the tube or rail that carries it, half as wide [m]."""
    plates, y = [], np.array([0.0, 1.0, 0.0])
    for edge in (-0.036, 0.030):
        ends = [
            bar(place + edge * y, place + (edge + 0.006) * y, radius)
            for place, radius in ((pin, 0.026), (root, wide))
        ]
        plates.append(hull(*ends))
    return union([*plates, bar(pin - 0.042 * y, pin + 0.042 * y, 0.009, 12)])


def _arm(configuration: Configuration, root: Array) -> Solid:
    """Return the stub of tube that carries a link's bracket on the nearest frame rail."""
    near = np.array([root[0], root[1], root[2] + ARM])
    far = near * [1.0, 0.0, 1.0] + [0.0, np.sign(root[1]) * rail_side(configuration), 0.0]
    return bar(near, far, ARM, 24)


def _upright(solid: Solid, x: float, y: float) -> Solid:
    """Return a solid made along x, stood up along z at a place."""
    return solid.rotate([0, -90, 0]).translate([x, y, 0])
