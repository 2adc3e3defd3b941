"""[suspension]: what guides the driven axle; every kind by one protocol."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol, assert_never, get_args

from sim.scene.structure import Structure, SuspensionKind
from sim.scene.table import KindsKey, Table
from sim.scene.tables.frame_mounted import FrameMounted, FrameMountedKeys, frame_mounted
from sim.scene.tables.leaf import LeafKeys, LeafSprings, leaf
from sim.scene.tables.links import Links, LinksKeys, links
from sim.scene.tables.measured import MeasuredAxle, MeasuredKeys, measured
from sim.scene.values import Values

Suspension = LeafSprings | Links | FrameMounted | MeasuredAxle
SuspensionKeys = LeafKeys | LinksKeys | FrameMountedKeys | MeasuredKeys


class Build(Protocol):
    """Builds one kind of suspension from values."""

    def __call__(self, v: Values, s: Structure) -> Suspension:
        """Return the suspension."""


@dataclass(frozen=True, slots=True)
class KindOfSuspension:
    """What every kind of suspension brings: the keys of its table, its part, what builds it.

    A part says ``on_frame``, whether the final drive hangs on the frame, and no axle moves.
    """

    keys: type[Table]
    part: type[Suspension]
    build: Build


def kind_of_suspension(kind: SuspensionKind) -> KindOfSuspension:
    """Return what a kind of suspension brings."""
    match kind:
        case "leaf":
            return KindOfSuspension(LeafKeys, LeafSprings, leaf)
        case "links":
            return KindOfSuspension(LinksKeys, Links, links)
        case "frame mounted":
            return KindOfSuspension(FrameMountedKeys, FrameMounted, frame_mounted)
        case "measured":
            return KindOfSuspension(MeasuredKeys, MeasuredAxle, measured)
    assert_never(kind)


KINDS = {kind: kind_of_suspension(kind).keys for kind in get_args(SuspensionKind)}


def on_frame(keys: SuspensionKeys | None) -> bool:
    """Say whether the final drive hangs on the frame, and no axle moves."""
    return keys is not None and kind_of_suspension(keys.kind).part.on_frame


def suspension_key() -> KindsKey[SuspensionKeys | None]:
    """Declare the table."""
    said = "What guides the axle: springs or links."
    return KindsKey(KINDS, said, left_out="only ride height").also("spring leaf_spring leaf")


def suspension(v: Values, s: Structure) -> Suspension | None:
    """Return what guides the axle; None where only ride height is looked at."""
    return None if s.suspension is None else kind_of_suspension(s.suspension).build(v, s)
