"""The driven axle or final drive with its pinion nose, the half shafts, and the wheels.

Axle and final drive are made in the vehicle's axes where they stand at ride height; their poses
move them from there.  Wheels and half shafts have axes of their own.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.motion.frames import axis_from_slope
from sim.scene.parts import Configuration, LeafSprings
from sim.world.shapes import paint
from sim.world.shapes.mesh import (
    Body,
    Solid,
    body,
    box,
    circle,
    disc,
    frame,
    hull,
    lathe,
    placed,
    ring,
    sweep,
    union,
)
from sim.world.shapes.sizes import half_track, joint_size

FLANGE = 0.16
"""Middle of a final drive to the flange of a half shaft [m]."""


def axle_parts(configuration: Configuration) -> Iterator[Body]:
    """Make axle or final drive (group "axle"), wheels and half shafts.

    Args:
        configuration: Whose.

    Yields:
        Bodies in the groups "axle", "wheel left", "wheel right", "half shaft left" and "… right".
    """
    size = configuration.vehicle.tire_radius / 0.39
    center = configuration.axle
    mounted = configuration.on_frame
    parts = [_bowl(size), _flanges() if mounted else _tubes(half_track(configuration), size)]
    if isinstance(configuration.suspension, LeafSprings):
        parts.append(_pads(configuration.suspension))
        clamps = _clamps(configuration.suspension).translate(center.tolist())
        yield body("spring clamps", "axle", clamps, paint.BRIGHT)
    housing = union(parts).translate(center.tolist()) + _nose(configuration)
    yield body("axle", "axle", housing, paint.AXLE)
    yield body("axle cover", "axle", _cover(size).translate(center.tolist()), paint.CAST)
    for side in ("left", "right"):
        yield from _wheel(f"wheel {side}", configuration.vehicle.tire_radius, side == "right")
        if mounted:
            yield from _half_shaft(f"half shaft {side}", configuration)


def _bowl(size: float) -> Solid:
    """Return the housing around the ring gear, about the axle center."""
    big = 0.150 * size
    ball = lathe(
        [
            (-big, 0),
            *[(-big * np.cos(a), big * np.sin(a)) for a in np.linspace(0.05, np.pi - 0.05, 24)],
            (big, 0),
        ],
        64,
    )
    rim = disc(0.046 * size, 0.066 * size, 1.02 * big, 64)
    return ball.scale([0.80, 0.95, 1.0]) ^ disc(-big, 0.062 * size, 2 * big) + rim


def _cover(size: float) -> Solid:
    """Return the rear cover with its bolts."""
    big = 0.150 * size
    dome = lathe(
        [
            (0.066 * size, 0),
            (0.066 * size, 0.98 * big),
            (0.074 * size, 0.97 * big),
            (0.090 * size, 0.82 * big),
            (0.115 * size, 0.55 * big),
            (0.124 * size, 0.25 * big),
            (0.125 * size, 0),
        ],
        64,
    )
    bolts = [
        disc(0.070 * size, 0.084 * size, 0.009, 6).translate([0, 0.91 * big, 0]).rotate([a, 0, 0])
        for a in np.arange(0, 360, 36)
    ]
    return union([dome, *bolts])


def _nose(configuration: Configuration) -> Solid:
    """Return the pinion nose from behind the pinion's flange into the housing."""
    pinion = configuration.pinion
    axis = axis_from_slope(pinion.slope, pinion.plan)
    start = joint_size(configuration, len(configuration.joints) - 1).reach + 0.018
    far = float(np.dot(configuration.axle - pinion.point, axis))
    end = max(far - 0.02, start + 0.06)
    run = end - start
    profile = [
        (start, 0.0),
        (start, 0.040),
        (start + 0.006, 0.046),
        (start + 0.024, 0.046),
        (start + 0.028, 0.042),
        (start + 0.25 * run, 0.050),
        (start + 0.50 * run, 0.068),
        (start + 0.72 * run, 0.092),
        (end - 0.02, 0.108),
        (end, 0.100),
        (end, 0.0),
    ]
    pose = frame(pinion.point, axis)
    ribs = [
        hull(
            box((start + 0.04, -0.004, 0.030), (start + 0.05, 0.004, 0.046)),
            box((end - 0.06, -0.004, 0.030), (end - 0.05, 0.004, 0.122)),
        ).rotate([a, 0, 0])
        for a in (45, 135, 225, 315)
    ]
    return placed(union([lathe(profile, 56), *ribs]), pose)


def _tubes(half: float, size: float) -> Solid:
    """Return the axle tubes out to the brakes, about the axle center."""
    r = 0.040 * size
    end = half - 0.035
    profile = [
        (-end, 0),
        (-end, 0.085),
        (-end + 0.012, 0.085),
        (-end + 0.014, 1.45 * r),
        (-end + 0.05, 1.15 * r),
        (-end + 0.10, r),
        (-0.24, r),
        (-0.15, 1.7 * r),
        (0, 1.9 * r),
    ]
    whole = profile + [(-x, y) for x, y in profile[-2::-1]]
    return lathe(whole, 48).rotate([0, 0, 90])


def _pack_faces(springs: LeafSprings) -> tuple[float, float]:
    """Return the heights of a pack's face toward the axle and of its far face [m]."""
    top, bottom = springs.seat_height + 0.004, springs.seat_height - 0.031
    return (bottom, top) if springs.seat_height > 0 else (top, bottom)


def _pads(springs: LeafSprings) -> Solid:
    """Return the seats between axle tube and springs, about the axle center."""
    near, _ = _pack_faces(springs)
    return union(
        box((-0.060, y - 0.034, 0.0), (0.060, y + 0.034, near))
        for y in (-springs.spacing / 2, springs.spacing / 2)
    )


def _clamps(springs: LeafSprings) -> Solid:
    """Return the two U-bolts and the plates of each spring, about the axle center."""
    up = 1.0 if springs.seat_height > 0 else -1.0
    far, near = _pack_faces(springs)[1] + up * 0.013, -up * 0.062
    arch = [(-0.042, near - up * 0.02), (-0.042, far - up * 0.010), (-0.039, far - up * 0.003)]
    arch += [(-0.032, far)]
    arch += [(-y, z) for y, z in arch[::-1]]
    parts = []
    for y in (-springs.spacing / 2, springs.spacing / 2):
        for x in (-0.048, 0.048):
            path = [(x, y + across, high) for across, high in arch]
            parts.append(sweep(path, circle(0.0065, 12), side=(1.0, 0.0, 0.0)))
        parts.append(box((-0.068, y - 0.056, near), (0.068, y + 0.056, near + up * 0.010)))
        parts.append(box((-0.034, y - 0.033, far), (0.034, y + 0.033, far - up * 0.012)))
    return union(parts)


def _flanges() -> Solid:
    """Return the two side flanges of a final drive on the frame, about the axle center."""
    neck = disc(-FLANGE + 0.02, FLANGE - 0.02, 0.048, 48)
    ends = ring(-FLANGE, -FLANGE + 0.02, 0.01, 0.055, 48) + ring(
        FLANGE - 0.02, FLANGE, 0.01, 0.055, 48
    )
    return (neck + ends).rotate([0, 0, 90])


def _half_shaft(group: str, configuration: Configuration) -> Iterator[Body]:
    """Make a half shaft, x from the flange of the final drive to the wheel center."""
    length = half_track(configuration) - FLANGE
    yield body(group, group, disc(0.06, length - 0.06, 0.016, 32), paint.BRIGHT)
    boots = []
    for start, way in ((0.0, 1.0), (length, -1.0)):
        folds = [
            (start + way * (0.045 + 0.010 * i), (0.046 - 0.0042 * i) * (1.0 if i % 2 else 0.86))
            for i in range(7)
        ]
        outline = [
            (start, 0.0),
            (start, 0.050),
            (start + way * 0.04, 0.050),
            *folds,
            (start + way * 0.112, 0.018),
            (start + way * 0.112, 0.0),
        ]
        boots.append(lathe(outline, 40))
    yield body(f"{group} boots", group, union(boots), paint.RUBBER)


def _wheel(group: str, radius: float, right: bool) -> Iterator[Body]:
    """Make a tire on its rim, axis along y, its outer side to the right or to the left."""
    half, rim = 0.30 * radius, 0.56 * radius
    turn = 90.0 if right else -90.0
    shapes = (
        (_tire(radius, half, rim), paint.TIRE),
        (_rim(half, rim), paint.RIM),
        (_nuts(half, rim), paint.PLATED),
    )
    for name, (solid, color) in zip(("tire", "rim", "nuts"), shapes, strict=True):
        yield body(f"{group} {name}", group, solid.rotate([0, 0, turn]), color)


def _tire(radius: float, half: float, rim: float) -> Solid:
    """Return a tire, outer side to +x, with grooves and shoulder lugs."""
    r, h = radius, half
    side = [
        (0.80, rim),
        (0.95, 1.08 * rim),
        (1.0, rim + 0.45 * (r - rim)),
        (0.965, 0.93 * r),
        (0.88, 0.972 * r),
        (0.76, 0.992 * r),
    ]
    left = [(-a * h, b) for a, b in side]
    tread = []
    for groove in (-0.48, -0.16, 0.16, 0.48):
        x = groove * h
        tread += [(x - 0.006, r), (x - 0.004, r - 0.009), (x + 0.004, r - 0.009), (x + 0.006, r)]
    solid = lathe([*left, *tread, *[(-a, b) for a, b in left[::-1]]], 96)
    lug = box((0.66 * h, -0.006, 0.955 * r), (1.1 * h, 0.006, 1.02 * r))
    cuts = [lug.rotate([a, 0, 0]) for a in np.arange(0, 360, 12)]
    cuts += [lug.rotate([0, 0, 180]).rotate([a + 6, 0, 0]) for a in np.arange(0, 360, 12)]
    return solid - union(cuts)


def _rim(half: float, rim: float) -> Solid:
    """Return a disc wheel with windows, outer side to +x."""
    h, r = half, rim
    profile = [
        (-0.80 * h, 0.95 * r),
        (-0.84 * h, 1.05 * r),
        (-0.78 * h, 1.05 * r),
        (-0.70 * h, 0.98 * r),
        (-0.4 * h, 0.89 * r),
        (0.4 * h, 0.89 * r),
        (0.70 * h, 0.98 * r),
        (0.78 * h, 1.05 * r),
        (0.84 * h, 1.05 * r),
        (0.80 * h, 0.95 * r),
        (0.60 * h, 0.86 * r),
        (0.34 * h, 0.82 * r),
        (0.24 * h, 0.62 * r),
        (0.42 * h, 0.46 * r),
        (0.44 * h, 0.0),
        (0.34 * h, 0.0),
        (0.32 * h, 0.43 * r),
        (0.13 * h, 0.62 * r),
        (0.22 * h, 0.83 * r),
        (-0.4 * h, 0.84 * r),
    ]
    window = disc(-h, h, 0.125 * r, 20).translate([0, 0.64 * r, 0])
    windows = [window.rotate([a, 0, 0]) for a in np.arange(0, 360, 45)]
    return lathe(profile, 72) - union(windows)


def _nuts(half: float, rim: float) -> Solid:
    """Return hub and wheel nuts, outer side to +x."""
    hub = lathe(
        [
            (0.3 * half, 0),
            (0.3 * half, 0.20 * rim),
            (0.60 * half, 0.18 * rim),
            (0.66 * half, 0.14 * rim),
            (0.66 * half, 0),
        ],
        40,
    )
    nut = disc(0.42 * half, 0.42 * half + 0.018, 0.012, 6).translate([0, 0.33 * rim, 0])
    return union([hub, *[nut.rotate([a, 0, 0]) for a in np.arange(0, 360, 60)]])
