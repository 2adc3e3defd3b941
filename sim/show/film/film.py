"""The film of one configuration, or of two beside each other."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import imageio.v3 as iio
import numpy as np

from sim.display import display_of
from sim.errors import DomainError
from sim.measure.measurements import Measurements
from sim.scene.parts import Scene
from sim.show.files import write_with
from sim.show.film.closing import balance, closing_of
from sim.show.film.encode import write_gif, write_video
from sim.show.film.frame import Story
from sim.show.film.meeting import first_meeting
from sim.show.film.painters import painted
from sim.show.film.story import shoot, write_script
from sim.show.style import configuration_look

Progress = Callable[[int, int], None]

SIZE = (1280, 720)  # [pixels]
MOST_PROCESSES = 6
"""A painter of two configurations takes about 0.3 GB: modules, meshes and pictures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmFiles:
    """What was written.

    Attributes:
        video: The film.
        poster: Its last frame, a still with all closing numbers.
        gif: The preview, or None.
        frames: Number of frames.
    """

    video: Path
    poster: Path
    gif: Path | None
    frames: int


def film(
    scene: Scene,
    measured: Sequence[Measurements],
    path: Path,
    *,
    seconds: float = 6.0,
    fps: int = 24,
    size: tuple[int, int] = SIZE,
    gif: bool = False,
    processes: int | None = None,
    progress: Progress | None = None,
) -> FilmFiles:
    """Make the film: the axle through its travel and a hard launch, while the shafts turn.

    Two configurations are shown under one camera, on one road, their numbers on one scale.  Where
    a tube bows at a speed that may be driven, a moment of that comes in before the closing numbers,
    and the film is longer by as much.  The still and the preview are written beside the film.  Each
    file appears whole or not at all.

    Args:
        scene: Where the configurations come from.
        measured: Measurements of the one or two configurations to show, in that order.
        path: Film to write [.mp4].
        seconds: Length without that moment [s].
        fps: Frames per second [1/s].
        size: Width and height [pixels], 16 to 9, the width a multiple of 32.
        gif: Whether to write a GIF preview too.
        processes: How many processes paint; default: one for each processor, 6 at most.
        progress: Called with the frames done and the number of frames.

    Returns:
        The files written.

    Raises:
        DomainError: If there are not one or two configurations, or for an odd size or length.
        GeometryError: If the parts cannot reach a state of the film.
        EngineError: If a picture comes out all one color, or a painter or the encoder stops.
    """
    story = tell(scene, measured, seconds=seconds, fps=fps)
    frames = story.frames
    crew = min(processes or min(os.cpu_count() or 1, MOST_PROCESSES), frames)
    poster = path.with_suffix(".png")
    last: list[bytes] = []

    def watched() -> Iterator[bytes]:
        for number, frame in enumerate(painted(story, size, crew), start=1):
            yield frame
            last[:] = [frame]
            if progress is not None:
                progress(number, frames)

    write_with(path, lambda part: write_video(part, watched(), size, fps))
    still = np.frombuffer(last[0], np.uint8).reshape(size[1], size[0], 3)
    write_with(poster, lambda part: iio.imwrite(part, still))
    preview = None
    if gif:
        preview = write_with(path.with_suffix(".gif"), lambda part: write_gif(part, path))
    return FilmFiles(video=path, poster=poster, gif=preview, frames=frames)


def tell(
    scene: Scene, measured: Sequence[Measurements], *, seconds: float = 6.0, fps: int = 24
) -> Story:
    """Return what a film shows, frame by frame, before anything is painted.

    Args:
        scene: Where the configurations come from.
        measured: Measurements of the one or two configurations to show, in that order.
        seconds: Length without the whirl moment [s].
        fps: Frames per second [1/s].

    Raises:
        DomainError: If there are not one or two configurations.
        GeometryError: If the parts cannot reach a state of the film.
    """
    if len(measured) not in (1, 2):
        raise DomainError(f"a film shows 1 or 2 configurations, not {len(measured)}")
    configurations = [one.configuration for one in measured]
    names = [one.name for one in scene.configurations]
    display = display_of(scene.display)
    script = write_script(configurations, seconds=seconds, fps=fps)
    closings = tuple(closing_of(one, display) for one in measured)
    return Story(
        title=scene.title,
        display=display,
        script=script,
        takes=tuple(shoot(one, script) for one in configurations),
        looks=tuple(configuration_look(names.index(one.name)) for one in configurations),
        closings=closings,
        balance=balance(*closings) if len(closings) == 2 else None,
        meeting=first_meeting(measured),
    )
