"""Good places to look from, by name."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.motion.frames import unit
from sim.scene.parts import Configuration, Links
from sim.world.lens import look_at
from sim.world.shapes.layout import LINKS, link_ends
from sim.world.shapes.mesh import Array
from sim.world.shapes.sizes import half_track

ENDS = ((-0.42, -0.86, 0.36), (-0.42, -0.86, 0.05), (-0.42, -0.86, -0.25), (-0.2, -0.86, -0.35))
BEHIND = ((0.50, -0.86, 0.06),)
"""Where joints are looked at from, the best first: at the ends, and behind a bearing."""

LINK = 0.03
"""How thick a suspension link is taken to be [m]."""


class View(NamedTuple):
    """Eye and target [m], shape (3,), and opening angle from bottom to top [rad]."""

    eye: Array
    target: Array
    fov: float


FOV = 0.42
CLOSE = 0.46
"""How far away a close view stands [m]: nearer than a frame rail."""


def views(configuration: Configuration, aspect: float = 640 / 430) -> dict[str, View]:
    """Return named places to look from.

    Args:
        configuration: What is looked at.
        aspect: Width over height of the picture [-].

    Returns:
        "whole", "axle", "joint 1" … and, with center bearings, "bearing", or "bearing 1" ….
    """
    found = {"whole": _whole(configuration, aspect), "axle": _axle(configuration)}
    last = len(configuration.joints)
    for number, place in enumerate(_joints(configuration), start=1):
        size = 3.0 * configuration.joints[number - 1].swing_radius
        # behind a bearing, from below its brace
        directions = ENDS if number in (1, last) else BEHIND
        seen = [_close(place, direction, size) for direction in directions]
        free = (view for view in seen if not _hidden(view, configuration, aspect))
        found[f"joint {number}"] = next(free, seen[0])
    bearings = configuration.bearings
    for number, bearing in enumerate(bearings, start=1):
        size = configuration.shafts[number - 1].tube.outside
        name = f"bearing {number}" if len(bearings) > 1 else "bearing"
        found[name] = _close(bearing.point, (0.66, -0.74, 0.02), 2.4 * size)
    return found


def _whole(configuration: Configuration, aspect: float) -> View:
    """Return the view of the whole driveline, from the left, ahead and a little above."""
    points = _outline(configuration)
    direction, distance = unit([-0.60, -1.0, 0.26]), 7.0
    target = points.mean(axis=0)
    for _ in range(4):  # the middle of the picture moves to the middle of what is seen
        view = look_at(target + distance * direction, target)
        seen = points @ view[:3, :3].T + view[:3, 3]
        slope = seen[:, :2] / -seen[:, 2:]
        low, high = slope.min(axis=0), slope.max(axis=0)
        target = target + view[:2, :3].T @ ((low + high) / 2 * distance)
    half = 1.03 * (high - low) / 2
    fov = 2 * float(np.arctan(max(half[1], half[0] / aspect)))
    return View(target + distance * direction, target, fov)


def _outline(configuration: Configuration) -> Array:
    """Return points that a picture of the whole must hold [m], shape (P, 3)."""
    radius, out = configuration.vehicle.tire_radius, half_track(configuration) + 0.12
    front = configuration.output.point + np.array([-0.35, 0.0, 0.0])
    rim = radius * np.array([[1, 0, 0], [-1, 0, 0], [0, 0, 1], [0, 0, -1]])
    across = np.array([0.0, out, 0.0])
    wheels = [configuration.axle + side * across + rim for side in (-1.0, 1.0)]
    return np.concatenate([front[None], *wheels])


def _axle(configuration: Configuration) -> View:
    """Return the view of the driven axle from ahead and above."""
    target = configuration.axle + np.array([-0.15, 0.0, -0.02])
    return View(target + 5.2 * half_track(configuration) * unit([-0.95, -0.62, 0.42]), target, FOV)


def _hidden(view: View, configuration: Configuration, aspect: float) -> bool:
    """Say whether a link of the suspension comes into a close view before what is looked at."""
    suspension = configuration.suspension
    if not isinstance(suspension, Links):
        return False
    ends = (link_ends(configuration, suspension, name) for name in LINKS)
    links = np.concatenate([np.linspace(*pair, 60) for pair in ends])
    seen = look_at(view.eye, view.target)
    across, depth = (
        np.abs(links @ seen[:2, :3].T + seen[:2, 3]),
        -(links @ seen[2, :3] + seen[2, 3]),
    )
    near = (depth > 0) & (depth < np.linalg.norm(view.target - view.eye))
    half = np.tan(view.fov / 2) * np.array([aspect, 1.0])
    inside = np.all(across - LINK < depth[:, None] * half, axis=1)
    return bool(np.any(near & inside))


def _joints(configuration: Configuration) -> list[Array]:
    """Return the joint centers at ride height, near enough to look at."""
    places = [configuration.output.point]
    for bearing in configuration.bearings:
        along = unit(bearing.point - places[-1])
        places.append(bearing.point + bearing.to_joint * along)
    return [*places, configuration.pinion.point]


def _close(target: Array, direction: tuple[float, float, float], half: float) -> View:
    """Return a close view, from between the rails, that shows half [m] above and below."""
    return View(target + CLOSE * unit(direction), target, 2 * float(np.arctan(half / CLOSE)))
