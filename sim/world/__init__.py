"""The same scene as rigid bodies in the physics engine: shapes, build, simulate, camera."""
