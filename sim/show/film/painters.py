"""Frames painted by several processes at once, given back in order.

Each painter is a fresh Python that gets the story on its standard input and writes raw frames to
its standard output.  Unlike a pool of the standard library, it does not run the caller's main
module again, so that a script, a notebook and a prompt can make films alike.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, suppress
from tempfile import TemporaryFile
from typing import IO

from sim.errors import EngineError
from sim.show.film.frame import Painter, Story


def painted(story: Story, size: tuple[int, int], processes: int) -> Iterator[bytes]:
    """Yield the frames of a story in order.

    Args:
        story: What to paint.
        size: Width and height [pixels].
        processes: How many paint at once; 1 paints in this process.

    Yields:
        Raw frames [rgb, 8 bit].

    Raises:
        EngineError: If a painter stops before its last frame.
    """
    frames = story.frames
    if processes <= 1:
        painter = Painter(story, size)
        for frame in range(frames):
            yield painter.paint(frame)
        return
    with ExitStack() as stack:
        crew = [
            stack.enter_context(_Helper(story, size, range(first, frames, processes)))
            for first in range(processes)
        ]
        for frame in range(frames):
            yield crew[frame % processes].frame()


class _Helper:
    """One process that paints some of the frames."""

    def __init__(self, story: Story, size: tuple[int, int], frames: range) -> None:
        self.bytes = size[0] * size[1] * 3
        self.complaint: IO[bytes] = TemporaryFile()  # noqa: SIM115  closed in __exit__
        self.process = subprocess.Popen(
            [sys.executable, "-P", "-m", "sim.show.film.painters"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self.complaint,
            env=os.environ
            | _SURROUNDINGS
            | {"PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        )
        self.order = pickle.dumps((story, size, frames))

    def __enter__(self) -> _Helper:
        """Hand over what to paint."""
        assert self.process.stdin is not None
        # A pipe that breaks means that the process stopped; its first frame is then missing.
        with suppress(BrokenPipeError), self.process.stdin as pipe:
            pipe.write(self.order)
        return self

    def __exit__(self, *_: object) -> None:
        """End the process, finished or not."""
        assert self.process.stdout is not None
        self.process.stdout.close()
        self.process.kill()
        self.process.wait()
        self.complaint.close()

    def frame(self) -> bytes:
        """Return the next frame."""
        assert self.process.stdout is not None
        found = self.process.stdout.read(self.bytes)
        if len(found) < self.bytes:
            self._stopped()
        return found

    def _stopped(self) -> None:
        """Say why the process stopped."""
        self.process.wait()
        self.complaint.seek(0)
        last = self.complaint.read().decode(errors="replace").strip().splitlines()[-1:]
        raise EngineError(f"a painter of the film stopped: {''.join(last) or 'it said nothing'}")


_SURROUNDINGS = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
"""One painter, one processor: more threads would only wait for each other."""


def _main() -> None:
    """Paint what standard input asks for, as one of several processes."""
    frames_out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # nothing that is printed may end up between the frames
    story, size, frames = pickle.load(sys.stdin.buffer)
    painter = Painter(story, size)
    for frame in frames:
        frames_out.write(painter.paint(frame))
        frames_out.flush()


if __name__ == "__main__":
    _main()
