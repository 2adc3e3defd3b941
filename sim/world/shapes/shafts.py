"""Shafts: tubes with weld seams and an index stripe, stubs, splines and slip yokes.

Own axes of a shaft: x from the center of its front joint, y along the ears of its front yoke.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

import numpy as np

from sim.motion.motion import Motion
from sim.scene.parts import Configuration, plunging_joint
from sim.world.shapes import paint
from sim.world.shapes.fittings import (
    boot,
    boot_bands,
    centering_ball,
    coupling_yoke,
    fitting,
    rubber_disc,
    sleeves,
)
from sim.world.shapes.joints import barrel, caps, cross, seals, splines
from sim.world.shapes.mesh import Body, Solid, body, disc, lathe, ring, union
from sim.world.shapes.sizes import BEARING_HALF, JointSize, joint_size, journal

DEGREES = 180 / np.pi


def driveline(configuration: Configuration, motion: Motion) -> Iterator[Body]:
    """Make all that turns between the output and the pinion, crosses included.

    Args:
        configuration: Whose shafts.
        motion: Gives their lengths.

    Yields:
        Bodies in the groups "cross 1" …, "rear cross 1" …, "middle 1" …, "shaft 1" …,
        "slip yoke" and "shaft tail".
    """
    for number in range(len(configuration.joints)):
        yield from _joint(number + 1, joint_size(configuration, number))
    last = len(configuration.shafts) - 1
    for number in range(last):
        yield from _coupling_shaft(configuration, motion, number)
    if configuration.spline.at == "shaft" and not plunging_joint(configuration):
        yield from _telescoping_shaft(configuration, motion)
    else:
        yield from _plain_shaft(configuration, motion)


def _joint(number: int, size: JointSize) -> Iterator[Body]:
    """Make what lies between the two halves of a joint."""
    middle = f"middle {number}"
    match size.kind:
        case "universal":
            yield from _cross(f"cross {number}", size)
        case "double cardan":
            yield from _cross(f"cross {number}", size)
            yield from _cross(f"rear cross {number}", size)
            yield body(f"coupling yoke {number}", middle, coupling_yoke(size), paint.CAST)
            yield body(f"centering ball {number}", middle, centering_ball(size), paint.BRIGHT)
        case "constant velocity":
            turned = [0, 0, 0 if size.bell_ahead else 180]
            yield body(f"boot {number}", middle, boot(size).rotate(turned), paint.RUBBER)
            yield body(f"bands {number}", middle, boot_bands(size).rotate(turned), paint.PLATED)
        case "flexible":
            yield body(f"disc {number}", middle, rubber_disc(size), paint.RUBBER)
            yield body(f"sleeves {number}", middle, sleeves(size), paint.PLATED)
        case _:
            assert_never(size.kind)


def _cross(group: str, size: JointSize) -> Iterator[Body]:
    """Make one cross with its caps."""
    yield body(group, group, cross(size), paint.BRIGHT)
    yield body(f"{group} caps", group, caps(size), paint.PLATED)
    yield body(f"{group} seals", group, seals(size), paint.RUBBER)


def _tube(
    name: str, group: str, number: int, radius: float, span: tuple[float, float]
) -> Iterator[Body]:
    """Make a tube with its weld seams and its index stripe."""
    start, end = span
    yield body(f"{name} tube", group, disc(start, end, radius, 64), paint.tube_color(number))
    weld = union([_seam(start, radius), _seam(end, radius)])
    yield body(f"{name} seams", group, weld, paint.SEAM)
    width = 2 * np.arcsin(min(0.16, 0.0065 / radius)) * DEGREES
    edge = min(0.02, 0.1 * (end - start))
    outline = [
        (start + edge, radius * 0.98),
        (start + edge, radius + 0.0007),
        (end - edge, radius + 0.0007),
        (end - edge, radius * 0.98),
    ]
    stripe = lathe(outline, 8, width).rotate([-width / 2, 0, 0])
    yield body(f"{name} stripe", group, stripe, paint.stripe_color(number))


def _seam(at: float, radius: float) -> Solid:
    """Return the bead of a weld around a tube's end."""
    angle = np.linspace(0, 2 * np.pi, 11)[:-1]
    thick = 0.0038
    return lathe([(at + thick * np.cos(a), radius - 0.0008 + thick * np.sin(a)) for a in angle], 56)


def _coupling_shaft(configuration: Configuration, motion: Motion, number: int) -> Iterator[Body]:
    """Make a shaft whose rear end a center bearing carries."""
    name, part = f"shaft {number + 1}", configuration.shafts[number]
    radius = part.tube.outside / 2
    front, rear = joint_size(configuration, number), joint_size(configuration, number + 1)
    length, behind = (
        float(motion.reference.length[number]),
        float(motion.reference.to_joint[number]),
    )
    center, stub = length - behind, journal(configuration, number)
    tube_end = max(front.reach + 0.02, center - 0.048 - 1.0 * radius)
    yield from _tube(name, name, number, radius, (front.reach, tube_end))
    slides = configuration.spline.at == "midship" and number == len(configuration.shafts) - 2
    slides = slides and not plunging_joint(configuration)
    castings = [fitting(front, 0.97 * radius), _taper(tube_end, center - 0.030, radius, stub)]
    shoulder = center + BEARING_HALF + 0.003
    if not slides:
        reach = min(rear.reach, length - shoulder)
        end = _rear_yoke(rear, max(1.6 * stub, 0.5 * rear.half_span), length, part.phase, reach)
        castings.append(end)
    yield body(f"{name} yokes", name, union(castings), paint.CAST)
    bright = [
        disc(center - 0.032, shoulder, stub),
        ring(center - 0.013, center + 0.013, 0.9 * stub, 1.6 * stub),
    ]
    if slides:
        bright.append(_stub_splines(configuration, rear, length, shoulder, stub))
        yield from _slip_yoke(configuration, rear, behind - (shoulder - center), stub)
    elif length - rear.reach > shoulder:
        bright.append(disc(shoulder, length - 0.9 * rear.reach, stub))
    yield body(f"{name} stub", name, union(bright), paint.BRIGHT)


def _taper(start: float, end: float, wide: float, narrow: float) -> Solid:
    """Return the round part that steps a tube down to its stub."""
    middle = start + 0.55 * (end - start)
    return lathe(
        [
            (start - 0.01, 0),
            (start - 0.01, 0.97 * wide),
            (start, 0.97 * wide),
            (middle, 1.35 * narrow),
            (end, 1.25 * narrow),
            (end, 0),
        ],
        56,
    )


def _rear_yoke(size: JointSize, root: float, at: float, phase: float, reach: float) -> Solid:
    """Return the yoke at the rear end of a shaft, turned to its phase."""
    return (
        fitting(size, root, ahead=True, reach=reach)
        .rotate([phase * DEGREES, 0, 0])
        .translate([at, 0, 0])
    )


def slip_yoke_reach(size: JointSize) -> float:
    """Return how far a slip yoke reaches from its joint center to its barrel [m]."""
    return size.reach - 0.26 * size.half_span


def _visible(configuration: Configuration, size: JointSize, room: float) -> float:
    """Return the length of bare splines at ride height between bearing and slip yoke.

    It is the gap to bottoming where the scene leaves room for it ahead of the yoke.
    """
    return max(0.004, min(configuration.spline.gap, room - slip_yoke_reach(size) - 0.008))


def _teeth(configuration: Configuration) -> int:
    """Return the number of teeth; 16 where none is given."""
    return configuration.spline.teeth or 16


def _stub_splines(
    configuration: Configuration, size: JointSize, length: float, shoulder: float, stub: float
) -> Solid:
    """Return the splined end of a midship stub; it ends inside the slip yoke."""
    bare = _visible(configuration, size, length - shoulder)
    floor = length - size.apart - 0.80 * size.half_span
    end = min(shoulder + bare + configuration.spline.engaged, floor)
    return splines(shoulder, max(end, shoulder + bare + 0.004), 0.97 * stub, _teeth(configuration))


def _slip_yoke(
    configuration: Configuration, size: JointSize, room: float, stub: float
) -> Iterator[Body]:
    """Make the yoke that slides on a midship stub; its joint center at the origin."""
    mouth = -(room - _visible(configuration, size, room))
    reach = slip_yoke_reach(size)
    solid = fitting(size, 1.75 * stub, ahead=True, reach=reach)
    hub = barrel(mouth, -0.85 * reach, 0.985 * stub, 1.5 * stub)
    bore = disc(-2 * reach, -size.apart - 0.4 * (reach - size.apart), 0.985 * stub)
    yield body("slip yoke", "slip yoke", (solid + hub) - bore, paint.CAST)


def _plain_shaft(configuration: Configuration, motion: Motion) -> Iterator[Body]:
    """Make the last shaft, of fixed length."""
    number = len(configuration.shafts) - 1
    name, part = f"shaft {number + 1}", configuration.shafts[number]
    radius, length = part.tube.outside / 2, float(motion.reference.length[number])
    front, rear = joint_size(configuration, number), joint_size(configuration, number + 1)
    yield from _tube(name, name, number, radius, (front.reach, length - rear.reach))
    ends = [
        fitting(front, 0.97 * radius),
        _rear_yoke(rear, 0.97 * radius, length, part.phase, rear.reach),
    ]
    yield body(f"{name} yokes", name, union(ends), paint.CAST)


def _telescoping_shaft(configuration: Configuration, motion: Motion) -> Iterator[Body]:
    """Make the last shaft with the spline inside it: a sleeve in front, the rest on its tail."""
    number = len(configuration.shafts) - 1
    name, part = f"shaft {number + 1}", configuration.shafts[number]
    radius, length = part.tube.outside / 2, float(motion.reference.length[number])
    front, rear = joint_size(configuration, number), joint_size(configuration, number + 1)
    spline, toothed = configuration.spline, 0.62 * radius
    mouth = front.reach + min(spline.engaged + 0.02, 0.3 * length)
    shoulder = mouth + spline.gap
    neck = fitting(front, 0.95 * front.neck + 0.25 * radius)
    hub = barrel(mouth, 0.9 * front.reach, toothed, 0.92 * radius)
    yield body(f"{name} sleeve", name, neck + hub, paint.CAST)
    tail, start = "shaft tail", shoulder - length
    tube = (start + 0.05, -rear.reach)
    yield from _tube(tail, tail, number, radius, tube)
    male = splines(
        mouth - spline.engaged - length, start + 0.01, 0.985 * toothed, _teeth(configuration)
    )
    yield body(f"{tail} spline", tail, male, paint.BRIGHT)
    ends = [
        _taper(tube[0], start, radius, 0.8 * toothed),
        fitting(rear, 0.97 * radius, ahead=True),
    ]
    yield body(f"{tail} yoke", tail, union(ends), paint.CAST)
