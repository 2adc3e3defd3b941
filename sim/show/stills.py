"""Stills: a configuration at ride height from a few useful places, as PNG."""

from __future__ import annotations

from pathlib import Path

import imageio.v3 as iio

from sim.errors import DomainError
from sim.motion.motion import Motion
from sim.show.files import write_bytes
from sim.world.camera import Stage
from sim.world.poses import body_poses
from sim.world.shapes.assemble import build_shapes
from sim.world.views import views

SIZE = (960, 600)


def draw_stills(motion: Motion, folder: Path, size: tuple[int, int] = SIZE) -> tuple[Path, ...]:
    """Draw a configuration at ride height, no torque, from every named view.

    Args:
        motion: As solved, with ride height at rest among its states.
        folder: Where the pictures belong.
        size: Width and height [pixels].

    Returns:
        The files written, one a view.

    Raises:
        DomainError: If no state of the motion is at ride height.
    """
    state = _ride_height(motion)
    poses = body_poses(motion, state, 0)
    files = []
    stage = Stage(build_shapes(motion.configuration, motion), size=size)
    for name, view in views(motion.configuration, size[0] / size[1]).items():
        stage.look(*view)
        path = folder / f"still_{name.replace(' ', '_')}.png"
        png = iio.imwrite("<bytes>", stage.picture(poses), extension=".png")
        files.append(write_bytes(path, png))
    return tuple(files)


def _ride_height(motion: Motion) -> int:
    """Return the index of ride height at rest."""
    for index, state in enumerate(motion.states):
        if state.height == "ride height" and not state.wheel_torque and not state.roll:
            return index
    raise DomainError("a still needs a state at ride height, no torque")
