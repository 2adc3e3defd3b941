"""Where the parts between the two halves of a joint are: crosses, coupling yokes, boots, discs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sim.motion.frames import unit
from sim.motion.joints import coupling_axis, front_share
from sim.scene.parts import Configuration
from sim.world.shapes.mesh import Array, frame
from sim.world.shapes.sizes import joint_size


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """One joint at one angle of the turn.

    Attributes:
        center: Where its axes meet [m], shape (3,).
        ahead, behind: Axes ahead of it and behind, shape (3,).
        driving, driven: Its first and its last pin, shape (3,).
    """

    center: Array
    ahead: Array
    behind: Array
    driving: Array
    driven: Array


def joint_poses(
    configuration: Configuration, number: int, held: Held
) -> Iterator[tuple[str, Array]]:
    """Yield the poses of what lies between the two halves of a joint.

    The crosses of a double Cardan joint stand on its axes, each as far from the joint center as
    the yoke that holds it is long.

    Args:
        configuration: Whose joint.
        number: Its place from the front, from 0.
        held: Where it is.

    Yields:
        Group and pose, shape (4, 4).
    """
    name, crosses = number + 1, configuration.joints[number].of_kind.crosses
    if crosses == 1:
        yield f"cross {name}", _cross(held.center, held.driving, held.driven)
        return
    share = front_share(configuration.joints[number])
    between = coupling_axis(held.ahead, held.behind, share)
    if crosses == 0:
        yield f"middle {name}", frame(held.center, between, held.driving)
        return
    apart = joint_size(configuration, number).apart
    front, rear = held.center - apart * held.ahead, held.center + apart * held.behind
    pin = unit(np.cross(between, held.driving))
    yield f"cross {name}", _cross(front, held.driving, pin)
    yield f"rear cross {name}", _cross(rear, pin, held.driven)
    yield f"middle {name}", frame((front + rear) / 2, between, pin)


def _cross(center: Array, driving: Array, driven: Array) -> Array:
    """Return the pose of a cross: y along its driving pin, z along the driven one."""
    return frame(center, np.cross(driving, driven), driving)
