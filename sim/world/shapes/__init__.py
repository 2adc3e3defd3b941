"""The parts of a vehicle as closed meshes, from the scene's own dimensions."""

from sim.world.shapes.assemble import build_shapes
from sim.world.shapes.mesh import Body

__all__ = ["Body", "build_shapes"]
