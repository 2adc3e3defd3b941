"""Pictures as part of the page, with a caption: plots as SVG, stills as data addresses."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable
from pathlib import Path
from zlib import crc32

import imageio.v3 as iio
from markupsafe import Markup

from sim.show.plots.svg import inlined
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
_TYPES = (".svg", ".png")
_QUALITY = 70  # of a WebP picture: half of what JPEG takes


def embedded(paths: Iterable[Path]) -> tuple[Picture, ...]:
    """Return pictures to be embedded, each once; the PNG twin of an SVG stays outside.

    Args:
        paths: Pictures; files that are none are left out.
    """
    wanted = [path for path in paths if path.suffix in _TYPES]
    drawn = {path.with_suffix("") for path in wanted if path.suffix == ".svg"}
    found: dict[bytes, Picture] = {}
    for path in wanted:
        caption = caption_of(path.stem)
        if path.suffix == ".svg":
            found.setdefault(path.read_bytes(), Picture(caption, plot=plot_of(path, caption)))
        elif path.with_suffix("") not in drawn:
            found.setdefault(path.read_bytes(), Picture(caption, data_address(path)))
    return tuple(found.values())


def plot_of(path: Path, about: str) -> Markup:
    """Return a plot as part of the page; names inside it begin with what is its own alone.

    Args:
        path: An SVG file.
        about: What it shows, for who cannot see it.
    """
    svg = path.read_text(encoding="utf-8")
    return Markup(inlined(svg, f"p{crc32(svg.encode()):08x}", about))


def caption_of(stem: str) -> str:
    """Return the caption of a picture by the name of its file, without ending.

    Example:
        >>> caption_of("still_center_bearing")
        'Still: center bearing'
    """
    plain = stem.replace("_", " ").replace("-", " ").replace("still ", "still: ", 1)
    return CAPTIONS.get(stem, plain[:1].upper() + plain[1:])


def data_address(path: Path) -> str:
    """Return a PNG as a data address (RFC 2397), as WebP: a tenth of its size."""
    picture = iio.imread(path, extension=".png")[..., :3]
    content = iio.imwrite("<bytes>", picture, extension=".webp", quality=_QUALITY)
    return f"data:image/webp;base64,{b64encode(content).decode('ascii')}"
