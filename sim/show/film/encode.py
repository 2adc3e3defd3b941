"""Frames into a video that plays everywhere, and into a small preview for e-mail."""

from __future__ import annotations

import subprocess
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryFile
from typing import NoReturn

import imageio_ffmpeg

from sim.errors import EngineError

# Without its color space written down, a player guesses, and a red turns orange on the way.
_COLORS = (
    "-vf",
    "scale=out_color_matrix=bt709:out_range=tv,"
    "setparams=colorspace=bt709:color_primaries=bt709:color_trc=bt709:range=tv",
)
# Painting takes ten times as long as encoding: one thread, which looks less far ahead, is enough,
# and holds half as many frames.
_SMALL = ("-threads", "1", "-rc-lookahead", "15")
_QUALITY = ("-crf", "20", "-preset", "medium", "-profile:v", "high", "-level", "4.0")
_GIF_FILTER = (
    "fps={fps},scale={width}:-2:flags=lanczos,split[a][b];"
    "[a]palettegen=stats_mode=diff[p];[b][p]paletteuse=dither=bayer:bayer_scale=4"
)


def write_video(path: Path, frames: Iterable[bytes], size: tuple[int, int], fps: int) -> None:
    """Encode frames as H.264 (yuv420p, bt709), its index ahead of the pictures.

    Args:
        path: File to write [.mp4].
        frames: Raw frames in order [rgb, 8 bit], each height × width × 3 bytes.
        size: Width and height [pixels], both even.
        fps: Frames per second [1/s].

    Raises:
        EngineError: If the encoder gives up.
    """
    width, height = size
    source = ("-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{width}x{height}", "-r", str(fps))
    target = ("-an", "-c:v", "libx264", "-pix_fmt", "yuv420p", "-movflags", "+faststart")
    with TemporaryFile() as complaint:
        encoder = subprocess.Popen(
            [*_ffmpeg(), *source, "-i", "-", *target, *_QUALITY, *_SMALL, *_COLORS, str(path)],
            stdin=subprocess.PIPE,
            stderr=complaint,
        )
        assert encoder.stdin is not None
        try:
            # A pipe that breaks means that the encoder stopped; its exit code tells below.
            with suppress(BrokenPipeError), encoder.stdin:
                for frame in frames:
                    encoder.stdin.write(frame)
        except BaseException:
            encoder.kill()
            raise
        finally:
            encoder.wait()
        if encoder.returncode:
            complaint.seek(0)
            _refuse(path, complaint.read().decode(errors="replace"))


def write_gif(path: Path, video: Path, *, width: int = 640, fps: int = 12) -> None:
    """Make a GIF preview of a video with the same encoder.

    Args:
        path: File to write [.gif].
        video: Video to read.
        width: Width of the preview [pixels]; the height keeps the proportions.
        fps: Frames per second [1/s].

    Raises:
        EngineError: If the encoder gives up.
    """
    command = [
        *(*_ffmpeg(), "-i", str(video)),
        *("-filter_complex", _GIF_FILTER.format(fps=fps, width=width), "-loop", "0", str(path)),
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        _refuse(path, done.stderr)


def _ffmpeg() -> tuple[str, ...]:
    """Return the start of a command: the encoder that comes with imageio-ffmpeg, and quiet."""
    return (imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-y")


def _refuse(path: Path, complaint: str) -> NoReturn:
    """Raise what the encoder said."""
    last = complaint.strip().splitlines()[-1:]
    raise EngineError(f"the video encoder gave up on {path.name}: {''.join(last)[-300:]}")
