"""The frame rails and what must not be touched: see-through, so that nothing hides the shafts."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.scene.parts import Configuration, LeafSprings, Obstacle
from sim.world.shapes import paint
from sim.world.shapes.layout import RAIL_HEIGHT, rail_bottom
from sim.world.shapes.mesh import FAINT, Body, Solid, bar, body, box, extrusion
from sim.world.shapes.sizes import rail_side

FLANGE = 0.060
WALL = 0.006


def chassis_parts(configuration: Configuration) -> Iterator[Body]:
    """Make rails and obstacles; an obstacle that rides on the axle moves and is drawn solid."""
    for name, sign in (("left", -1.0), ("right", 1.0)):
        yield body(f"frame rail {name}", "", _rail(configuration, sign), paint.RAIL, ghost=True)
    for obstacle in configuration.obstacles:
        moving = obstacle.rides_on == "axle"
        yield body(
            f"obstacle {obstacle.name}",
            "axle" if moving else "",
            _obstacle(obstacle),
            paint.OBSTACLES[obstacle.kind],
            ghost=not moving,
            share=_share(obstacle),
        )


def _share(obstacle: Obstacle) -> float:
    """Return how much of an obstacle's faces is seen: the thinner it is, the more."""
    if obstacle.kind == "floor":
        return FAINT
    return paint.CLEAR if obstacle.pipe is not None else paint.HALF_CLEAR


def rail_ends(configuration: Configuration) -> tuple[float, float]:
    """Return where the drawn rails begin and end [m], fore and aft."""
    suspension = configuration.suspension
    rear = configuration.axle[0] + 0.55
    if isinstance(suspension, LeafSprings):
        rear = max(rear, suspension.shackle_pivot[0] + 0.12)
    return float(configuration.output.point[0] - 0.70), float(rear)


def _rail(configuration: Configuration, sign: float) -> Solid:
    """Return one straight channel, its flanges inward."""
    start, end = rail_ends(configuration)
    low = rail_bottom(configuration)
    outline = np.array(
        [
            (0, 0),
            (-FLANGE, 0),
            (-FLANGE, WALL),
            (-WALL, WALL),
            (-WALL, RAIL_HEIGHT - WALL),
            (-FLANGE, RAIL_HEIGHT - WALL),
            (-FLANGE, RAIL_HEIGHT),
            (0, RAIL_HEIGHT),
        ]
    )
    # drawn in the plane across the vehicle, then laid along it
    section = outline * [-sign, 1.0] + [-sign * rail_side(configuration), low]
    return extrusion(section, start, end).rotate([0, 0, -90])


def _obstacle(obstacle: Obstacle) -> Solid:
    """Return a round pipe or a box."""
    if obstacle.pipe is not None:
        return bar(obstacle.start, obstacle.end, obstacle.pipe / 2, 32)
    return box(obstacle.start, obstacle.end)
