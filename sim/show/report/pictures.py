"""Pictures as part of the page: as data addresses, with a caption."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable
from pathlib import Path

from sim.show.report.pages import Picture

CAPTIONS = {
    "joint-angles": "Joint angles over axle travel, a panel for each torque case",
    "spline": "Slip of the spline between bottoming and pull-out",
    "smoothness": "Speed fluctuation and angular accelerations over axle travel",
    "speed-over-turn": "Speed of the pinion over one turn of the output",
    "compare-travel": "All configurations on the same axes",
    "critical-speeds": "Whirl limit and critical speed of every shaft against top speed",
}
_TYPES = {
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".webp": "image/webp",
}


def embedded(paths: Iterable[Path]) -> tuple[Picture, ...]:
    """Return pictures to be embedded; where there is an SVG, its PNG twin stays outside.

    Args:
        paths: Pictures; files that are none are left out.
    """
    wanted = [path for path in paths if path.suffix.lower() in _TYPES]
    drawn = {path.with_suffix("") for path in wanted if path.suffix == ".svg"}
    return tuple(
        Picture(data_address(path), CAPTIONS.get(path.stem, path.stem.replace("-", " ")))
        for path in wanted
        if path.suffix == ".svg" or path.with_suffix("") not in drawn
    )


def data_address(path: Path) -> str:
    """Return a picture as a data address (RFC 2397)."""
    kind = _TYPES[path.suffix.lower()]
    return f"data:{kind};base64,{b64encode(path.read_bytes()).decode('ascii')}"
