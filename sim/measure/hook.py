"""What a tape can hook on: the nearest narrow cross part of the frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.scene.parts import Configuration

NARROW = 0.15  # a longer part has no edge near where it is needed [m]; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Hook:
    """A face of a cross part of the frame, square to a tape along the vehicle.

    Attributes:
        name: Of the obstacle.
        face: Which of its faces.
        aft: Station of that face, from the datum [m].
        under: Its lower edge above the datum [m].
    """

    name: str
    face: Literal["front", "rear"]
    aft: float
    under: float


def hook_near(configuration: Configuration, aft: float) -> Hook | None:
    """Return the face of a cross part that is nearest to a station, or None where there is none.

    A cross part is a box, fixed to the frame, that crosses the middle of the vehicle, does not move
    and is no longer than 150 mm fore and aft.

    Args:
        configuration: Whose obstacles are looked at.
        aft: Station from the datum [m].
    """
    faces = []
    for part in configuration.obstacles:
        low, high = zip(
            *(sorted(ends) for ends in zip(part.start, part.end, strict=True)), strict=True
        )
        fixed = part.kind == "fixed part" and part.rides_on == "frame" and not part.moves
        fixed = fixed and part.pipe is None
        if fixed and low[1] < 0 < high[1] and high[0] - low[0] <= NARROW:
            faces += [
                Hook(name=part.name, face="front", aft=float(low[0]), under=float(low[2])),
                Hook(name=part.name, face="rear", aft=float(high[0]), under=float(low[2])),
            ]
    return min(faces, key=lambda hook: abs(hook.aft - aft), default=None)
