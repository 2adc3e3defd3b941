"""Stages beside each other, which look at several vehicles from one place.

Vehicles that are compared differ in their shafts and share most of the rest.  What looks the same
on all is loaded once, and drawn once for a moment.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import numpy as np

from sim.world.camera import Stage
from sim.world.engine import engine
from sim.world.layers import Layer
from sim.world.shapes.mesh import Array, Body

Poses = dict[str, Array]


@contextmanager
def stages_beside(
    casts: Sequence[Sequence[Body]],
    moments: Sequence[Sequence[Poses]],
    sizes: Sequence[tuple[int, int]],
) -> Iterator[list[Stage]]:
    """Open one stage for each vehicle, all in one engine.

    Args:
        casts: The bodies of each vehicle.
        moments: Poses of each vehicle, at a few moments of what will be shown.
        sizes: Width and height of each picture [pixels].

    Yields:
        The stages, their cameras not placed yet.
    """
    common = _alike(casts, moments) if len(casts) > 1 else set()
    with engine() as world:
        together = [body for body in casts[0] if body.group in common]
        shared = Layer(together, world, remembers=True)
        yield [
            Stage(
                [body for body in cast if body.group not in common],
                size,
                world=world,
                shared=shared,
            )
            for cast, size in zip(casts, sizes, strict=True)
        ]


def _alike(casts: Sequence[Sequence[Body]], moments: Sequence[Sequence[Poses]]) -> set[str]:
    """Return the groups that move and look the same on all vehicles."""
    first, *others = (_by_group(cast) for cast in casts)
    return {
        group
        for group, bodies in first.items()
        if group
        and all(_same_bodies(bodies, other.get(group, [])) for other in others)
        and all(_same_pose(group, poses) for poses in moments)
    }


def _by_group(cast: Sequence[Body]) -> dict[str, list[Body]]:
    """Return solid bodies by what moves them."""
    found: dict[str, list[Body]] = {}
    for body in cast:
        found.setdefault(body.group, []).append(body)
    return found


def _same_bodies(bodies: list[Body], others: list[Body]) -> bool:
    """Return whether two lists of bodies look the same."""
    return len(bodies) == len(others) and all(
        (a.color, a.ghost) == (b.color, b.ghost)
        and np.array_equal(a.faces, b.faces)
        and np.array_equal(a.vertices, b.vertices)
        for a, b in zip(bodies, others, strict=True)
    )


def _same_pose(group: str, poses: Sequence[Poses]) -> bool:
    """Return whether a group is posed the same on all vehicles."""
    first, *others = (moment.get(group) for moment in poses)
    return first is not None and all(
        other is not None and np.array_equal(first, other) for other in others
    )
