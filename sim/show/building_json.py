"""What a layout that is built says to machines; fields in DEVELOPERS.md, "For machines"."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sim.display import DEGREES, Unit, display_of
from sim.show.building import Building
from sim.show.machine import amount_json


def building_json(build: Building, files: Sequence[Path]) -> dict[str, Any]:
    """Return a layout with the windows of its readings for machines.

    Args:
        build: The layout.
        files: Every file written.
    """
    length = display_of(build.scene.display).length

    def unit_of(name: str) -> Unit:
        return length if name.startswith(("gap", "spline", "bearing")) else DEGREES

    def ends(low: float, high: float, name: str) -> dict[str, Any]:
        unit = unit_of(name)
        return {"low": amount_json(low, unit), "high": amount_json(high, unit)}

    return {
        "scene": build.scene.name,
        "title": build.scene.title,
        "display": build.scene.display,
        "configuration": build.result.configuration.name,
        "grade": build.outlook.grade,
        "sentence": build.outlook.sentence,
        "carries": list(build.carries),
        "readings": [
            {
                "what": one.what,
                "height": one.height,
                "expected": amount_json(one.value, unit_of(one.what)),
                "band": amount_json(one.band, unit_of(one.what)),
                "moved_by": one.moved_by,
                "may_be": ends(one.low, one.high, one.what) if one.moved_by else None,
                "below": one.below,
                "above": one.above,
            }
            for one in build.allowed.readings
        ],
        "rooms": [
            {
                "what": room.adjustment.name,
                "off_by": ends(room.low, room.high, room.adjustment.name),
                "below": room.below,
                "above": room.above,
            }
            for room in build.allowed.rooms
        ],
        "files": [file.as_posix() for file in files],
    }
