"""What a tape can hook on near a station."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from samples import two_piece

from sim.measure.hook import Hook, hook_near
from sim.scene.parts import Configuration, Obstacle


def truck(*parts: Obstacle) -> Configuration:
    return two_piece(obstacles=parts)


def sill(**changes: object) -> Obstacle:
    """A cross sill from 2.98 to 3.04 m, 618 mm up."""
    part = Obstacle(
        name="sill",
        start=np.array([3.04, -0.45, 0.66]),
        end=np.array([2.98, 0.45, 0.618]),
        pipe=None,
        moves=0.0,
        rides_on="frame",
        kind="fixed part",
        least_clearance=None,
    )
    return replace(part, **changes)


def test_the_face_nearest_to_a_station() -> None:
    crossmember = sill(
        name="crossmember", start=np.array([2.7, -0.43, 0.6]), end=np.array([2.76, 0.43, 0.65])
    )
    both = truck(crossmember, sill())
    for station, name, face, aft, under in (
        (2.395, "crossmember", "front", 2.7, 0.6),
        (2.85, "crossmember", "rear", 2.76, 0.6),
        (2.95, "sill", "front", 2.98, 0.618),
        (3.50, "sill", "rear", 3.04, 0.618),
    ):
        assert hook_near(both, station) == Hook(name=name, face=face, aft=aft, under=under)


def test_what_no_tape_hooks_on() -> None:
    assert hook_near(truck(sill()), 2.0) == Hook(name="sill", face="front", aft=2.98, under=0.618)
    beside = np.array([2.98, 0.05, 0.618])
    for part in (
        sill(moves=0.01),
        sill(rides_on="axle"),
        sill(pipe=0.05),
        sill(kind="line"),
        sill(start=np.array([3.14, -0.45, 0.66])),  # 160 mm long
        sill(end=beside, start=np.array([3.04, 0.45, 0.66])),
    ):
        assert hook_near(truck(part), 2.0) is None
