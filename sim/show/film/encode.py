"""Frames into a video that plays everywhere, and into a small preview for e-mail."""

from __future__ import annotations

import subprocess
from collections.abc import Iterable
from pathlib import Path

import imageio_ffmpeg

from sim.errors import EngineError

# Without its color space written down, a player guesses, and a red turns orange on the way.
_BT709 = (
    *("-vf", "scale=out_color_matrix=bt709:out_range=tv"),
    *("-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709"),
    *("-color_range", "tv"),
)
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
    writer = imageio_ffmpeg.write_frames(
        str(path),
        size,
        fps=fps,
        codec="libx264",
        pix_fmt_in="rgb24",
        pix_fmt_out="yuv420p",
        quality=None,
        macro_block_size=2,
        ffmpeg_log_level="error",
        output_params=[*_QUALITY, "-movflags", "+faststart", *_BT709],
    )
    try:
        writer.send(None)
        for frame in frames:
            writer.send(frame)
    except OSError as error:
        raise EngineError(f"the video encoder gave up on {path.name}: {error}") from error
    finally:
        writer.close()


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
        *(imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-y", "-i", str(video)),
        *("-filter_complex", _GIF_FILTER.format(fps=fps, width=width), "-loop", "0", str(path)),
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise EngineError(f"the encoder gave up on {path.name}: {done.stderr.strip()[-300:]}")
