"""Good places to look from, by name."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.motion.frames import unit
from sim.scene.parts import Configuration
from sim.world.shapes.mesh import Array
from sim.world.shapes.sizes import half_track


class View(NamedTuple):
    """Eye and target [m], shape (3,), and opening angle from bottom to top [rad]."""

    eye: Array
    target: Array
    fov: float


FOV = 0.42


def views(configuration: Configuration, aspect: float = 640 / 430) -> dict[str, View]:
    """Return named places to look from.

    Args:
        configuration: What is looked at.
        aspect: Width over height of the picture [-].

    Returns:
        "whole", "axle", "joint 1" … and, with center bearings, "bearing" and "bearing 1" ….
    """
    found = {"whole": _whole(configuration, aspect), "axle": _axle(configuration)}
    for number, place in enumerate(_joints(configuration), start=1):
        size = configuration.joints[number - 1].swing_radius
        found[f"joint {number}"] = _close(place, (-0.42, -0.86, 0.36), 14 * size)
    for number, bearing in enumerate(configuration.bearings, start=1):
        size = configuration.shafts[number - 1].tube.outside
        found[f"bearing {number}"] = _close(bearing.point, (0.66, -0.74, 0.02), 13 * size)
    if configuration.bearings:
        found["bearing"] = found["bearing 1"]
    return found


def _whole(configuration: Configuration, aspect: float) -> View:
    """Return the view of the whole driveline, from the left, ahead and a little above."""
    front = configuration.output.point + np.array([-0.30, 0.0, 0.0])
    rear = configuration.axle + np.array([0.35, 0.0, 0.0])
    middle = 0.5 * (front + rear) + np.array([0.10, 0.0, -0.04])
    direction = unit([-0.60, -1.0, 0.34])
    out = half_track(configuration)
    corners = np.array([front, rear + [0.1, -out, -0.2], rear + [0.1, out, 0.2]])
    right = unit(np.cross([0.0, 0.0, 1.0], direction))
    spread = np.abs((corners - middle) @ right)
    near = (corners - middle) @ direction
    half = np.tan(FOV / 2) * aspect
    distance = float(np.max(spread / half * 0.98 + near))
    return View(middle + distance * direction, middle, FOV)


def _axle(configuration: Configuration) -> View:
    """Return the view of the driven axle from ahead and above."""
    target = configuration.axle + np.array([-0.15, 0.0, -0.02])
    return View(target + 5.2 * half_track(configuration) * unit([-0.95, -0.62, 0.42]), target, FOV)


def _joints(configuration: Configuration) -> list[Array]:
    """Return the joint centers at ride height, near enough to look at."""
    places = [configuration.output.point]
    for bearing in configuration.bearings:
        along = unit(bearing.point - places[-1])
        places.append(bearing.point + bearing.to_joint * along)
    return [*places, configuration.pinion.point]


def _close(target: Array, direction: tuple[float, float, float], distance: float) -> View:
    """Return a close view."""
    return View(target + distance * unit(direction), target, FOV)
