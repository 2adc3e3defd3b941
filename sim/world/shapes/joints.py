"""Yokes, cross and caps of a universal joint.

Own axes of every part: joint center at the origin, x along its shaft, ears along y.
"""

from __future__ import annotations

import numpy as np

from sim.world.shapes.mesh import Solid, bar, circle, disc, extrusion, hull, lathe, union
from sim.world.shapes.sizes import JointSize


def yoke(size: JointSize, root: float, *, reach: float | None = None) -> Solid:
    """Return a yoke whose body runs along +x to a round root.

    Args:
        size: Sizes of the joint.
        root: Radius where the yoke ends [m].
        reach: Joint center to that end [m]; the joint's own where none is given.

    Returns:
        The solid.
    """
    end = size.reach if reach is None else reach
    blank = _ear_plate(size, root, end) ^ _bell(size, root, end)
    neck = disc(0.72 * end, end, root, 64)
    solid = (blank + neck) - _window(size, end)
    for side in (-1.0, 1.0):
        seat = side * (size.half_span - 0.03 * size.half_span)
        solid -= bar((0, seat, 0), (0, 2 * seat, 0), 1.13 * size.cap, 40)
    return solid - bar((0, -size.half_span, 0), (0, size.half_span, 0), size.cap, 40)


def _ear_plate(size: JointSize, root: float, end: float) -> Solid:
    """Return the outline of both ears, seen along their pin, as thick as the joint is wide."""
    boss = circle(size.boss, 40)
    foot = np.array([[end, -0.93 * root], [end, 0.93 * root]])
    waist = np.array([[0.62 * end, -0.96 * root], [0.62 * end, 0.96 * root]])
    wide = 1.01 * size.half_span
    plates = [extrusion(boss, -wide, wide), extrusion(np.r_[waist, foot[::-1]], -wide, wide)]
    return hull(*plates)


def _bell(size: JointSize, root: float, end: float) -> Solid:
    """Return the body of revolution in which the ears and the root lie."""
    s, c = size.half_span, size.cap
    start = 1.05 * c
    run = np.linspace(0.0, 1.0, 12)
    ease = run * run * (3 - 2 * run)
    shoulder = [
        (start + t * (end - start), s + e * (root - s)) for t, e in zip(run, ease, strict=True)
    ]
    nose = [(-1.6 * c, 0.0), (-1.6 * c, 0.86 * s), (-1.2 * c, 0.97 * s), (-0.9 * c, s)]
    return lathe([*nose, *shoulder, (end, 0.0)], 72)


def _window(size: JointSize, end: float) -> Solid:
    """Return what is cut out between the ears: open in front, round at its floor."""
    wide, floor = size.inside, end - 0.34 * size.half_span
    round_ = 0.78 * wide
    bottom = circle(round_, 32) + np.array([floor - round_, 0.0])
    mouth = np.array([[-3 * size.boss, -1.04 * wide], [-3 * size.boss, 1.04 * wide]])
    throat = np.array([[0.25 * size.boss, -wide], [0.25 * size.boss, wide]])
    reach = 2 * max(size.half_span, 1e-3)
    outline = hull(
        extrusion(bottom, -reach, reach), extrusion(np.r_[mouth, throat[::-1]], -reach, reach)
    )
    return outline.rotate([90, 0, 0])


def cross(size: JointSize) -> Solid:
    """Return the cross: trunnions along y and z, a grease hole in the middle."""
    c, tip = size.cap, size.half_span - 0.45 * size.cap
    blank = hull(
        bar((0, -1.25 * c, 0), (0, 1.25 * c, 0), 0.92 * c, 32),
        bar((0, 0, -1.25 * c), (0, 0, 1.25 * c), 0.92 * c, 32),
    )
    trunnions = [
        bar((0, -tip, 0), (0, tip, 0), 0.62 * c, 32),
        bar((0, 0, -tip), (0, 0, tip), 0.62 * c, 32),
    ]
    nipple = bar((0, 0.80 * c, 0.80 * c), (0, 1.45 * c, 1.45 * c), 0.17 * c, 8)
    return union([blank - disc(-c, c, 0.42 * c, 24), *trunnions, nipple])


def caps(size: JointSize) -> Solid:
    """Return the four bearing caps, their faces just inside the ears."""
    c, face = size.cap, 0.965 * size.half_span
    deep = 0.36 * size.half_span
    cup = lathe(
        [
            (0, 0),
            (0, 0.70 * c),
            (0.06 * c, 0.90 * c),
            (0.2 * c, 0.995 * c),
            (deep, 0.995 * c),
            (deep, 0),
        ],
        40,
    )
    turned = cup.rotate([0, 0, -90]).translate([0, face, 0])  # its face toward +y
    return union([turned.rotate([90 * k, 0, 0]) for k in range(4)])


def seals(size: JointSize) -> Solid:
    """Return the rubber seals at the inner ends of the caps."""
    c = size.cap
    inner, outer = 0.965 * size.half_span - 0.36 * size.half_span, 0.10 * size.half_span
    lip = bar((0, inner - outer, 0), (0, inner, 0), 0.86 * c, 32)
    return union([lip.rotate([90 * k, 0, 0]) for k in range(4)])


def barrel(start: float, end: float, inner: float, outer: float) -> Solid:
    """Return the barrel of a slip yoke from its open mouth at start, with a lip there."""
    lip = min(0.012, 0.4 * abs(end - start)) * np.sign(end - start)
    outline = [
        (start, inner),
        (start, 1.10 * outer),
        (start + lip, 1.10 * outer),
        (start + 1.3 * lip, outer),
        (end, outer),
        (end, inner),
    ]
    return lathe(outline, 56)


def splines(start: float, end: float, radius: float, teeth: int) -> Solid:
    """Return a splined bar on the x axis, its ends chamfered.

    Args:
        start: Where it begins [m].
        end: Where it ends [m].
        radius: Over the teeth [m].
        teeth: Number of teeth.

    Returns:
        The solid.
    """
    shape = np.array([(-0.32, 0.88), (-0.20, 1.0), (0.20, 1.0), (0.32, 0.88)])
    pitch = 2 * np.pi / teeth
    angle = (np.arange(teeth)[:, None] + shape[:, 0]) * pitch
    size = radius * np.broadcast_to(shape[:, 1], angle.shape)
    outline = np.stack([size * np.cos(angle), size * np.sin(angle)], axis=-1).reshape(-1, 2)
    toothed = extrusion(outline, start, end).rotate([0, 0, -90])
    edge = 0.12 * radius
    chamfer = lathe(
        [
            (start, 0),
            (start, 0.88 * radius),
            (start + edge, radius),
            (end - edge, radius),
            (end, 0.88 * radius),
            (end, 0),
        ],
        48,
    )
    return toothed ^ chamfer
