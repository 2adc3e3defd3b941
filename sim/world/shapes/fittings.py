"""The two halves of every kind of joint: what a shaft, an output or a pinion ends in.

Own axes: joint center at the origin, x along the shaft, ears along y.
"""

from __future__ import annotations

from typing import assert_never

import numpy as np

from sim.world.shapes.joints import yoke
from sim.world.shapes.mesh import Solid, box, circle, disc, extrusion, hull, lathe, ring, union
from sim.world.shapes.sizes import JointSize

ARMS_BEHIND, ARMS_AHEAD = (90.0, 210.0, 330.0), (30.0, 150.0, 270.0)
"""Where the arms of a flexible coupling stand about x, from y [deg]."""


def fitting(
    size: JointSize, root: float, *, ahead: bool = False, reach: float | None = None
) -> Solid:
    """Return one half of a joint.

    Args:
        size: Sizes of the joint.
        root: Radius where it ends [m].
        ahead: Whether it is the half ahead of the joint, its body toward the front (-x).
        reach: Joint center to that end [m]; the joint's own where none is given.

    Returns:
        The solid.
    """
    end = size.reach if reach is None else reach
    match size.kind:
        case "constant velocity":
            solid = _bell(size, root, end) if ahead == size.bell_ahead else _stub(size, root, end)
        case "flexible":
            solid = _spider(size, root, end, ARMS_AHEAD if ahead else ARMS_BEHIND)
        case "universal" | "double cardan":
            solid = yoke(size, root, reach=end - size.apart).translate([size.apart, 0, 0])
        case _:
            assert_never(size.kind)
    return solid.rotate([0, 0, 180]) if ahead else solid


def bell_lip(size: JointSize) -> float:
    """Return how far a bell's mouth stands beyond the joint center, toward the other shaft [m]."""
    return 0.42 * size.half_span + size.plunge / 2


def stub_radius(size: JointSize) -> float:
    """Return the radius of the shaft that enters a bell [m]."""
    return 0.34 * size.half_span


def disc_half(size: JointSize) -> float:
    """Return half the thickness of a flexible coupling's disc [m]."""
    return 0.24 * size.half_span


def _bell(size: JointSize, root: float, end: float) -> Solid:
    """Return the housing in which balls or rollers run: a cup, its mouth toward -x."""
    r, lip = 0.97 * size.half_span, -bell_lip(size)
    floor = 0.45 * size.half_span + size.plunge / 2
    return lathe(
        [
            (lip, 0.84 * r),
            (lip, r),
            (lip + 0.12 * r, r),
            (lip + 0.16 * r, 0.94 * r),
            (lip + 0.30 * r, 0.94 * r),
            (lip + 0.34 * r, r),
            (0.82 * floor, r),
            (0.97 * floor, 0.94 * r),
            (min(1.25 * floor, 0.9 * end), 0.62 * r),
            (end, root),
            (end, 0.0),
            (0.9 * floor, 0.0),
            (0.9 * floor, 0.60 * r),
            (0.75 * floor, 0.84 * r),
        ],
        72,
    )


def _stub(size: JointSize, root: float, end: float) -> Solid:
    """Return the shaft that enters the housing, with the star that its balls turn."""
    r = stub_radius(size)
    half = 0.30 * size.half_span
    star = disc(-half, half, 0.66 * size.half_span, 48)
    shaft = lathe(
        [
            (-1.1 * half, 0.0),
            (-1.1 * half, 0.9 * r),
            (0.86 * end, r),
            (0.93 * end, max(r, 0.8 * root)),
            (end, root),
            (end, 0.0),
        ],
        56,
    )
    return union([star, shaft])


def _spider(size: JointSize, root: float, end: float, arms: tuple[float, ...]) -> Solid:
    """Return a flange of three arms on a hub."""
    face, thick = disc_half(size), 0.16 * size.half_span
    bolt, pad = bolt_circle(size), 0.26 * size.half_span
    hub = circle(0.42 * size.half_span, 40)
    tip = circle(pad, 32) + np.array([bolt, 0.0])
    plate = hull(extrusion(hub, 0.0, thick), extrusion(tip, 0.0, thick))
    arm = plate.rotate([0, 0, 90]).translate([face + thick, 0, 0])  # thick along x, out along y
    inside = face + 0.5 * thick
    neck = lathe(
        [(inside, 0.0), (inside, 0.39 * size.half_span), (end, root), (end, 0.0)],
        56,
    )
    bolts = [
        disc(inside, face + 1.7 * thick, 0.12 * size.half_span, 6)
        .translate([0, bolt, 0])
        .rotate([angle, 0, 0])
        for angle in arms
    ]
    return union([neck, *(arm.rotate([angle, 0, 0]) for angle in arms), *bolts])


def bolt_circle(size: JointSize) -> float:
    """Return the radius on which the bolts of a flexible coupling stand [m]."""
    return 0.70 * size.half_span


def coupling_yoke(size: JointSize) -> Solid:
    """Return the yoke between two crosses, its ears along y around both, x along its axis."""
    s, d = size.half_span, size.apart
    bosses = [circle(size.boss, 40) + np.array([x, 0.0]) for x in (-d, d)]
    plate = hull(*(extrusion(boss, -s, s) for boss in bosses))
    wide = min(0.30 * s, max(0.5 * d - 0.4 * size.boss, 0.14 * s))
    rim = ring(-wide, wide, 0.72 * s, s, 64)
    inner = box((-2 * s - d, -size.inside, -2 * s), (2 * s + d, size.inside, 2 * s))
    round_ = disc(-2 * s - d, 2 * s + d, s, 64)
    solid = ((plate ^ round_) - inner) + rim
    bores = [
        lathe([(-2 * s, 0), (-2 * s, size.cap), (2 * s, size.cap), (2 * s, 0)], 40)
        .rotate([0, 0, 90])
        .translate([x, 0, 0])
        for x in (-d, d)
    ]
    return solid - union(bores)


def centering_ball(size: JointSize) -> Solid:
    """Return the ball that keeps the middle of the coupling yoke on both axes, in its seat."""
    r = 0.17 * size.half_span
    angle = np.linspace(0, np.pi, 17)
    ball = lathe([(-r * np.cos(a), r * np.sin(a)) for a in angle], 40)
    seat = ring(-0.8 * r, 0.8 * r, 0.92 * r, 1.5 * r, 40)
    return union([ball, seat])


def boot(size: JointSize) -> Solid:
    """Return the bellows between a bell and the shaft that enters it; the shaft toward +x."""
    start, stop = bell_lip(size) - 0.04 * size.half_span, 1.42 * size.half_span
    wide, narrow = 1.0 * size.half_span, 1.12 * stub_radius(size)
    folds = 4
    run = np.linspace(0.0, 1.0, 24 * folds + 1)
    mean = wide + (narrow - wide) * run
    wave = 0.5 * (1 - np.cos(2 * np.pi * folds * run)) * (0.16 * size.half_span)
    outer = np.stack([start + run * (stop - start), mean - wave * (1 - 0.4 * run)], axis=-1)
    skin = 0.05 * size.half_span
    inner = outer[::-1] - np.array([0.0, skin])
    return lathe([(float(x), float(r)) for x, r in np.concatenate([outer, inner])], 64)


def boot_bands(size: JointSize) -> Solid:
    """Return the two bands that hold a boot."""
    start, stop, s = bell_lip(size) - 0.04 * size.half_span, 1.42 * size.half_span, size.half_span
    narrow = 1.12 * stub_radius(size)
    return union(
        [
            ring(start - 0.02 * s, start + 0.07 * s, 0.9 * s, 1.03 * s, 64),
            ring(stop - 0.08 * s, stop + 0.01 * s, 0.9 * narrow, 1.14 * narrow, 48),
        ]
    )


def rubber_disc(size: JointSize) -> Solid:
    """Return the disc between the two flanges of a flexible coupling, waisted between its bolts."""
    half, s = disc_half(size), size.half_span
    lobes = [
        disc(-half, half, 0.30 * s, 40).translate([0, bolt_circle(size), 0]).rotate([angle, 0, 0])
        for angle in (*ARMS_BEHIND, *ARMS_AHEAD)
    ]
    body_ = ring(-0.92 * half, 0.92 * half, 0.40 * s, 0.90 * s, 72)
    return union([body_, *(lobes)]) - disc(-2 * half, 2 * half, 0.40 * s, 48)


def sleeves(size: JointSize) -> Solid:
    """Return the steel sleeves in a flexible coupling's disc, one a bolt."""
    half, s = disc_half(size), size.half_span
    return union(
        [
            disc(-1.04 * half, 1.04 * half, 0.15 * s, 32)
            .translate([0, bolt_circle(size), 0])
            .rotate([angle, 0, 0])
            for angle in (*ARMS_BEHIND, *ARMS_AHEAD)
        ]
    )
