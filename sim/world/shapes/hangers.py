"""Center bearings: rubber, bracket, and the cross brace that it is bolted to."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.scene.parts import Bearing, Configuration
from sim.world.shapes import paint
from sim.world.shapes.mesh import (
    Array,
    Body,
    Solid,
    bar,
    body,
    box,
    disc,
    extrusion,
    lathe,
    placed,
    ring,
    union,
)
from sim.world.shapes.sizes import BEARING_HALF, journal, rail_side

RUBBER = 0.026
"""Rubber between the race and the bracket [m]."""


def center_bearing(configuration: Configuration, number: int, axis: Array) -> Iterator[Body]:
    """Make one center bearing, which stays where it is, on its brace.

    Args:
        configuration: Whose.
        number: Its place from the front, from 0.
        axis: Axis of the shaft in it at ride height [-], shape (3,).

    Yields:
        Bodies that no pose moves.
    """
    name, bearing = f"bearing {number + 1}", configuration.bearings[number]
    race = 1.6 * journal(configuration, number)
    hoop = race + RUBBER
    pose = _pose(bearing, axis)
    yield body(f"{name} rubber", "", placed(_rubber(race, hoop), pose), paint.RUBBER)
    top = hoop + 0.018
    yield body(f"{name} bracket", "", placed(_bracket(hoop, top), pose), paint.PLATED)
    yield body(f"{name} bolts", "", placed(_bolts(hoop, top), pose), paint.BRIGHT)
    brace, y = _brace(configuration, bearing, top), bearing.point[1]
    # cameras stand on the left: the left arm would hide the joint behind the bearing
    hiding = box((-1e3, -1e3, -1e3), (1e3, y - 3.2 * hoop, 1e3))
    yield body(f"{name} brace", "", brace - hiding, paint.BRACE)
    arm = brace ^ hiding
    if not arm.is_empty():  # a bearing near the left rail has none
        yield body(f"{name} brace arm", "", arm, paint.BRACE, ghost=True)


def _pose(bearing: Bearing, axis: Array) -> Array:
    """Return where a bracket stands: upright, square to the shaft in top view but for its skew."""
    plan = np.arctan2(axis[1], axis[0]) + bearing.skew
    pose = np.eye(4)
    pose[:2, 0] = np.cos(plan), np.sin(plan)
    pose[:2, 1] = -np.sin(plan), np.cos(plan)
    pose[:3, 3] = bearing.point
    return pose


def _rubber(race: float, hoop: float) -> Solid:
    """Return the rubber: a folded web between race and hoop, and its collar on the race."""
    run = np.linspace(0, 1, 19)
    radius = 0.94 * race + (hoop - 0.002 - 0.94 * race) * run
    wave = 0.0065 * np.sin(run * np.pi * 3)
    web = [(w - 0.0052, r) for w, r in zip(wave, radius, strict=True)]
    back = [(w + 0.0052, r) for w, r in zip(wave[::-1], radius[::-1], strict=True)]
    return lathe(web + back, 64) + ring(-0.0145, 0.0145, 0.93 * race, race + 0.004, 64)


def _bracket(hoop: float, top: float) -> Solid:
    """Return the bracket: a hoop, cheeks up to its foot, and slotted ears for two bolts."""
    half, wall = BEARING_HALF, 0.0045
    outer = ring(-half, half, hoop - 0.5 * wall, hoop + wall, 72)
    lips = ring(-half, -half + 0.003, hoop - 0.006, hoop + wall + 0.003, 72) + ring(
        half - 0.003, half, hoop - 0.006, hoop + wall + 0.003, 72
    )
    wide = hoop + wall
    # nothing only touches: faces that coincide would leave edges with four triangles
    side = wide - 0.0007
    cheeks = box((-half + 0.0005, -side, 0), (half - 0.0005, side, top - 0.001)) - box(
        (-2 * half, -side + wall, -1), (2 * half, side - wall, top - wall)
    )
    bore = disc(-2 * half, 2 * half, hoop - 0.5 * wall, 72)
    foot = box((-half - 0.004, -wide - 0.042, top - 0.006), (half + 0.004, wide + 0.042, top))
    deep = half - 0.002
    ribs = [
        extrusion([(-deep, top - 0.004), (deep, top - 0.004), (deep, top - 0.035)], y, y + 0.004)
        for y in (-wide - 0.003, wide - 0.001)
    ]
    return union([outer, lips, cheeks - bore, foot, *ribs])


def _bolts(hoop: float, top: float) -> Solid:
    """Return the two bolts that hold the bracket under its brace."""
    parts = []
    for side in (-1.0, 1.0):
        y = side * (hoop + 0.026)
        parts += [
            bar((0, y, top - 0.008), (0, y, top - 0.006), 0.0135, 24),
            bar((0, y, top - 0.019), (0, y, top - 0.008), 0.0105, 6),
            bar((0, y, top + 0.004), (0, y, top + 0.014), 0.0105, 6),
        ]
    return union(parts)


def _brace(configuration: Configuration, bearing: Bearing, top: float) -> Solid:
    """Return the cross brace: a channel from rail to rail, 2 mm short of their webs."""
    x, y, z = bearing.point
    low, half = z + top, 0.038
    # a bearing beyond a rail still hangs on something
    side = max(rail_side(configuration) - 0.002, abs(y) + 0.06)
    outline = np.array(
        [
            (-half, -0.022),
            (-half, 0.006),
            (half, 0.006),
            (half, -0.022),
            (half - 0.004, -0.022),
            (half - 0.004, 0.0),
            (-half + 0.004, 0.0),
            (-half + 0.004, -0.022),
        ]
    )
    # the channel opens upward: its web lies on the bracket's foot
    channel = extrusion(outline * [1, -1] + [x, low + 0.006], -side, side)
    holes = [
        bar((x, y + s * 0.03, low - 0.01), (x, y + s * 0.03, low + 0.02), 0.009, 20)
        for s in (-5.0, 5.0)
    ]
    plates = [
        box(
            (x - half - 0.004, s * (side - 0.006), low + 0.001),
            (x + half + 0.004, s * (side + 0.001), low + 0.085),
        )
        for s in (-1, 1)
    ]
    feet = [
        bar(
            (x + d, s * (side - 0.012), low + 0.055),
            (x + d, s * (side - 0.003), low + 0.055),
            0.010,
            6,
        )
        for s in (-1, 1)
        for d in (-0.022, 0.022)
    ]
    return union([channel - union(holes), *plates, *feet])
