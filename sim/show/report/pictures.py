"""Pictures as part of the page: as data addresses, with a caption."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable
from pathlib import Path

import imageio.v3 as iio

from sim.show.report.pages import Picture

CAPTIONS = {
    "joint-angles": "Joint angles over axle travel, a panel for each torque case",
    "envelope": "What passes close: all that shafts and joints sweep, and what stands beside",
    "clearance": "Clearance to every obstacle over axle travel",
    "spline": "Slip of the spline between bottoming and pull-out",
    "smoothness": "Speed fluctuation and angular accelerations over axle travel",
    "speed-over-turn": "Speed of the pinion over one turn of the output",
    "bearing-load": "What the center bearing feels over travel, and the couples over a turn",
    "whirl": "Whirl: once and twice per turn over road speed, and the frequencies that answer",
    "torque-carried": "What it must carry: torque against what tubes and joints carry",
    "how-sure": "How sure: what each reading by itself does to the verdicts that cannot be told",
    "effects": "What each millimeter does: how far each may be off, and what one step changes",
    "compare-travel": "All configurations on the same axes",
    "critical-speeds": "Whirl limit and critical speed of every shaft against top speed",
}
_TYPES = {".svg": "image/svg+xml", ".png": "image/jpeg", ".jpg": "image/jpeg"}
_JPEG_QUALITY = 88


def embedded(paths: Iterable[Path]) -> tuple[Picture, ...]:
    """Return pictures to be embedded, each once; the PNG twin of an SVG stays outside.

    Args:
        paths: Pictures; files that are none are left out.
    """
    wanted = [path for path in paths if path.suffix in _TYPES]
    drawn = {path.with_suffix("") for path in wanted if path.suffix == ".svg"}
    found: dict[str, Picture] = {}
    for path in wanted:
        if path.suffix == ".svg" or path.with_suffix("") not in drawn:
            address = data_address(path)
            plot = path.suffix == ".svg"
            found.setdefault(address, Picture(address, caption_of(path.stem), plot))
    return tuple(found.values())


def caption_of(stem: str) -> str:
    """Return the caption of a picture by the name of its file, without ending.

    Example:
        >>> caption_of("still_center_bearing")
        'Still: center bearing'
    """
    plain = stem.replace("_", " ").replace("-", " ").replace("still ", "still: ", 1)
    return CAPTIONS.get(stem, plain[:1].upper() + plain[1:])


def data_address(path: Path) -> str:
    """Return a picture as a data address (RFC 2397); a PNG goes in as JPEG, a fifth of its size."""
    content = path.read_bytes()
    if path.suffix == ".png":
        picture = iio.imread(content, extension=".png")[..., :3]
        content = iio.imwrite("<bytes>", picture, extension=".jpg", quality=_JPEG_QUALITY)
    return f"data:{_TYPES[path.suffix]};base64,{b64encode(content).decode('ascii')}"
