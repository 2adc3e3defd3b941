"""[suspension]: what guides the driven axle; every kind by one protocol."""

from __future__ import annotations

from typing import Protocol, assert_never

from sim.scene.keys import KindsKey, Table
from sim.scene.structure import Structure, SuspensionKind
from sim.scene.tables.frame_mounted import FrameMounted, FrameMountedKeys, frame_mounted
from sim.scene.tables.leaf import LeafKeys, LeafSprings, leaf
from sim.scene.tables.links import Links, LinksKeys, links
from sim.scene.tables.measured import MeasuredAxle, MeasuredKeys, measured
from sim.scene.values import Values

Suspension = LeafSprings | Links | FrameMounted | MeasuredAxle
SuspensionKeys = LeafKeys | LinksKeys | FrameMountedKeys | MeasuredKeys
KINDS: dict[str, type[Table]] = {
    "leaf": LeafKeys,
    "links": LinksKeys,
    "frame mounted": FrameMountedKeys,
    "measured": MeasuredKeys,
}


class Build(Protocol):
    """Builds one kind of suspension from values."""

    def __call__(self, v: Values, s: Structure) -> Suspension:
        """Return the suspension."""


def suspension_key() -> KindsKey[SuspensionKeys | None]:
    """Declare the table."""
    return KindsKey(KINDS, "What guides the axle.", left_out="only ride height")


def suspension(v: Values, s: Structure) -> Suspension | None:
    """Return what guides the axle; None where only ride height is looked at."""
    return None if s.suspension is None else _builder(s.suspension)(v, s)


def _builder(kind: SuspensionKind) -> Build:
    match kind:
        case "leaf":
            return leaf
        case "links":
            return links
        case "frame mounted":
            return frame_mounted
        case "measured":
            return measured
    assert_never(kind)
