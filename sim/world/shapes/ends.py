"""The two ends of the driveline: output with its housing, and the yoke on the pinion.

Own axes: x along the output or pinion, y along the ears of its yoke, joint center at the origin.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.scene.parts import Configuration, plunging_joint
from sim.world.shapes import paint
from sim.world.shapes.fittings import fitting
from sim.world.shapes.joints import barrel
from sim.world.shapes.mesh import Body, Solid, bar, body, box, disc, lathe, union
from sim.world.shapes.shafts import slip_yoke_reach
from sim.world.shapes.sizes import joint_size


def slides_on_output(configuration: Configuration) -> bool:
    """Return whether the output carries a slip yoke."""
    if plunging_joint(configuration) == 1:
        return False
    return configuration.spline.at == "output" or configuration.output_spline is not None


def output_parts(configuration: Configuration) -> Iterator[Body]:
    """Make the output yoke (group "output") and the housing that it comes out of ("housing")."""
    size = joint_size(configuration, 0)
    if slides_on_output(configuration):
        spline = configuration.output_spline or configuration.spline
        reach, neck = slip_yoke_reach(size), size.neck
        seal = -(reach + spline.gap)
        mouth = seal - max(0.03, min(spline.engaged, 0.15))
        yield body(
            "output yoke", "output", fitting(size, neck, ahead=True, reach=reach), paint.CAST
        )
        hub = barrel(mouth, -0.9 * reach, 0.8 * neck, 0.93 * neck)
        yield body("output barrel", "output", hub, paint.BRIGHT)
    else:
        neck, seal = 0.70 * size.half_span, -(size.reach + 0.030)
        solid = fitting(size, neck, ahead=True)
        yield body("output yoke", "output", solid, paint.CAST)
        flange = disc(seal + 0.004, -size.reach + 0.004, 1.02 * size.half_span, 56)
        yield body(
            "output flange",
            "output",
            union([flange, _bolts(size.half_span, -size.reach)]),
            paint.BRIGHT,
        )
    yield from _housing(seal, neck)


def _bolts(radius: float, at: float) -> Solid:
    """Return four bolt heads on a flange."""
    heads = [
        disc(at, at + 0.011, 0.010, 6).translate([0, 0.80 * radius, 0]).rotate([a, 0, 0])
        for a in (45, 135, 225, 315)
    ]
    return union(heads)


def _housing(seal: float, neck: float) -> Iterator[Body]:
    """Make the rear of the gearbox, its lip around the output at seal."""
    n, out = neck, 1.32 * neck
    tail = lathe(
        [
            (seal, 0.5 * n),
            (seal, out),
            (seal - 0.012, out),
            (seal - 0.016, 1.2 * n),
            (seal - 0.05, 1.25 * n),
            (seal - 0.22, 0.085),
            (seal - 0.24, 0.105),
            (seal - 0.255, 0.105),
            (seal - 0.26, 0.098),
            (seal - 0.50, 0.135),
            (seal - 0.62, 0.165),
            (seal - 0.64, 0.180),
            (seal - 0.66, 0.180),
            (seal - 0.66, 0.0),
            (seal - 0.26, 0.0),
            (seal - 0.26, 0.5 * n),
        ],
        64,
    )
    pan = box((seal - 0.55, -0.12, -0.165), (seal - 0.28, 0.12, -0.06))
    yield body("housing", "housing", tail + pan, paint.HOUSING)
    bolts = union(
        [
            bar((seal - 0.228, 0.096, 0), (seal - 0.240, 0.096, 0), 0.008, 6).rotate([a, 0, 0])
            for a in np.arange(0, 360, 60)
        ]
    )
    yield body("housing bolts", "housing", bolts, paint.PLATED)


def pinion_parts(configuration: Configuration) -> Iterator[Body]:
    """Make the yoke on the pinion (group "pinion")."""
    size = joint_size(configuration, len(configuration.joints) - 1)
    yield body("pinion yoke", "pinion", fitting(size, 0.66 * size.half_span), paint.CAST)
    flange = disc(size.reach - 0.004, size.reach + 0.016, 0.86 * size.half_span, 56)
    yield body("pinion flange", "pinion", flange, paint.BRIGHT)
