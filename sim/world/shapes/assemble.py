"""All shapes of one configuration."""

from __future__ import annotations

from sim.motion.motion import Motion
from sim.scene.parts import Configuration
from sim.world.shapes.axle import axle_parts
from sim.world.shapes.chassis import chassis_parts
from sim.world.shapes.ends import output_parts, pinion_parts
from sim.world.shapes.hangers import center_bearing
from sim.world.shapes.mesh import Body
from sim.world.shapes.shafts import driveline
from sim.world.shapes.springs import spring_parts


def build_shapes(configuration: Configuration, motion: Motion) -> tuple[Body, ...]:
    """Build every part of a vehicle's driveline as a closed mesh.

    Args:
        configuration: The scene's dimensions.
        motion: A motion of it, for the lengths of its shafts and its bearings' direction.

    Returns:
        Bodies; a group is the key of the pose that moves it, see ``body_poses``.

    Raises:
        EngineError: If a part cannot be made.
    """
    bearings = [
        part
        for number in range(len(configuration.bearings))
        for part in center_bearing(configuration, number, motion.axis[0, 0, number + 1])
    ]
    return (
        *output_parts(configuration),
        *driveline(configuration, motion),
        *pinion_parts(configuration),
        *bearings,
        *axle_parts(configuration),
        *spring_parts(configuration),
        *chassis_parts(configuration),
    )
