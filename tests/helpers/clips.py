"""Clips whose frame number is written in their pixels, in many encodings."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

FFMPEG = shutil.which("ffmpeg")
FFPROBE = shutil.which("ffprobe")
needs_ffmpeg = pytest.mark.skipif(
    FFMPEG is None or FFPROBE is None, reason="the ffmpeg and ffprobe programs are not installed"
)

BITS = 12


def numbered(i: int, width: int = 320, height: int = 180) -> NDArray[np.uint8]:
    """(H, W, 3) picture of frame `i`: its number as light and dark cells along the top.

    Under them, a soft slope that moves with `i` and, in three corners, a colour of its own, so
    that no turn or mirror leaves it the same.
    """
    cell, band, block = width / BITS, height // 6, height // 6
    image = _slopes(width, height).copy()
    image[..., 2] = 80 + 60 * np.sin(2 * np.pi * (np.arange(width) / width + i / 40))
    for bit in range(BITS):
        left, right = round(bit * cell), round((bit + 1) * cell)
        image[:band, left:right] = 220 if i >> bit & 1 else 30
    image[-block:, :block] = (200, 40, 40)
    image[-block:, -block:] = (40, 180, 60)
    image[height // 2 - block // 2 : height // 2 + block // 2, -block:] = (50, 60, 200)
    return image


@lru_cache(maxsize=8)
def _slopes(width: int, height: int) -> NDArray[np.uint8]:
    """What is the same in every frame of a size; to be copied."""
    y, x = np.mgrid[0:height, 0:width]
    image = np.empty((height, width, 3), np.uint8)
    image[..., 0] = 40 + 120 * x / width
    image[..., 1] = 40 + 120 * y / height
    return image


def number_in(image: NDArray[np.uint8]) -> int:
    """The frame number written in an upright picture, of any size, RGB or BGRA."""
    height, width = image.shape[:2]
    row = image[max(1, height // 12), :, :3].astype(float).mean(axis=1)
    cells = [row[int((bit + 0.5) * width / BITS)] for bit in range(BITS)]
    return sum(1 << bit for bit, level in enumerate(cells) if level > 125)


@dataclass(frozen=True)
class Recipe:
    """How a clip is made: arguments for the ffmpeg program, then what to do with the result.

    Attributes
    ----------
    suffix : of the file
    args : encoding arguments
    then : arguments of a second pass that copies packets, with the file suffix of its result
    quarter_turns : clockwise turn the display matrix asks for; the stored picture is turned back
    count, fps, width, height : of the upright picture
    """

    suffix: str
    args: tuple[str, ...]
    then: tuple[str, ...] = ()
    before_input: tuple[str, ...] = ()
    quarter_turns: int = 0
    count: int = 60
    fps: int = 30
    width: int = 320
    height: int = 180
    sound: bool = False


_X264 = ("-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p")
_UNEVEN = "settb=1/90000,setpts=(N+0.35*mod(N*N\\,3)+4*gte(N\\,30))/30/TB"
_PLAIN = (*_X264, "-bf", "3", "-g", "12")

RECIPES: dict[str, Recipe] = {
    "h264_b": Recipe(".mp4", _PLAIN, sound=True),
    "h264_long": Recipe(".mp4", (*_X264, "-bf", "3", "-g", "250"), count=200),
    "h264_vfr": Recipe(
        ".mp4",
        (
            *_PLAIN,
            "-vf",
            _UNEVEN,
            "-vsync",
            "vfr",
            "-enc_time_base",
            "1:90000",
            "-video_track_timescale",
            "90000",
        ),
    ),
    "h264_open_gop": Recipe(
        ".mp4",
        (*_X264, "-x264-params", "open-gop=1:bframes=3:keyint=12:min-keyint=12:scenecut=0"),
    ),
    "h264_refresh": Recipe(".mp4", (*_X264, "-x264-params", "intra-refresh=1:keyint=12")),
    "start_mp4": Recipe(".mp4", (*_PLAIN, "-output_ts_offset", "1.4")),
    "start_mkv": Recipe(".mkv", (*_PLAIN, "-output_ts_offset", "2.7")),
    "mov": Recipe(".mov", (*_PLAIN, "-color_range", "pc", "-vf", "scale=out_range=full")),
    "mkv": Recipe(".mkv", _PLAIN),
    "fragmented": Recipe(".mp4", (*_PLAIN, "-movflags", "frag_keyframe+empty_moov")),
    "trimmed": Recipe(
        ".mp4", _PLAIN, then=("-c", "copy"), before_input=("-ss", "0.55"), sound=True
    ),
    "rot90": Recipe(
        ".mp4", _PLAIN, then=("-c", "copy", "-metadata:s:v:0", "rotate=270"), quarter_turns=1
    ),
    "rot180": Recipe(
        ".mp4", _PLAIN, then=("-c", "copy", "-metadata:s:v:0", "rotate=180"), quarter_turns=2
    ),
    "rot270": Recipe(
        ".mov", _PLAIN, then=("-c", "copy", "-metadata:s:v:0", "rotate=90"), quarter_turns=3
    ),
    "ts": Recipe(".ts", (*_PLAIN, "-output_ts_offset", "5"), sound=True),
    "ts_open_gop": Recipe(
        ".ts",
        (*_X264, "-x264-params", "open-gop=1:bframes=3:keyint=12:min-keyint=12:scenecut=0"),
    ),
    "avi_h264": Recipe(".avi", (*_X264, "-bf", "0", "-g", "12")),
    "avi_h264_b": Recipe(".avi", _PLAIN),
    "avi_mpeg4": Recipe(".avi", ("-c:v", "mpeg4", "-q:v", "3", "-g", "12")),
    "avi_mpeg4_b": Recipe(".avi", ("-c:v", "mpeg4", "-q:v", "3", "-g", "12", "-bf", "2")),
    "avi_mjpeg": Recipe(".avi", ("-c:v", "mjpeg", "-q:v", "3", "-pix_fmt", "yuvj420p")),
    "mpeg2_ps": Recipe(".mpg", ("-c:v", "mpeg2video", "-q:v", "3", "-bf", "2", "-g", "12")),
    "hevc": Recipe(
        ".mp4",
        (
            "-c:v",
            "libx265",
            "-preset",
            "ultrafast",
            "-tag:v",
            "hvc1",
            "-x265-params",
            "log-level=none:keyint=12:bframes=3",
            "-pix_fmt",
            "yuv420p",
        ),
    ),
    "hevc_10bit_open": Recipe(
        ".mp4",
        (
            "-c:v",
            "libx265",
            "-preset",
            "ultrafast",
            "-x265-params",
            "log-level=none:keyint=12:min-keyint=12:bframes=3:open-gop=1",
            "-pix_fmt",
            "yuv420p10le",
        ),
    ),
    "vp9": Recipe(
        ".webm",
        ("-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8", "-b:v", "1M", "-g", "12"),
    ),
    "vp8_hidden": Recipe(
        ".webm",
        (
            "-c:v",
            "libvpx",
            "-deadline",
            "good",
            "-cpu-used",
            "5",
            "-b:v",
            "1M",
            "-g",
            "30",
            "-auto-alt-ref",
            "1",
            "-lag-in-frames",
            "10",
        ),
    ),
    "av1": Recipe(
        ".mkv",
        ("-c:v", "libaom-av1", "-cpu-used", "8", "-usage", "realtime", "-g", "12"),
        count=40,
    ),
    "interlaced": Recipe(
        ".mp4",
        (*_PLAIN, "-flags", "+ilme+ildct", "-x264-params", "tff=1"),
    ),
    "odd": Recipe(".mkv", (*_X264[:-2], "-pix_fmt", "yuv444p", "-g", "12"), width=161, height=121),
    "odd_420": Recipe(
        ".webm",
        ("-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8", "-pix_fmt", "yuv420p"),
        width=161,
        height=121,
    ),
    "odd_10bit": Recipe(".mkv", ("-c:v", "ffv1", "-pix_fmt", "yuv420p10le"), width=163, height=120),
    "bt709": Recipe(
        ".mp4",
        (
            *_PLAIN,
            "-vf",
            "scale=out_color_matrix=bt709",
            "-colorspace",
            "bt709",
            "-color_primaries",
            "bt709",
            "-color_trc",
            "bt709",
            "-color_range",
            "tv",
        ),
    ),
    "bt709_full": Recipe(
        ".mp4",
        (
            *_PLAIN,
            "-vf",
            "scale=out_color_matrix=bt709:out_range=full",
            "-colorspace",
            "bt709",
            "-color_range",
            "pc",
        ),
    ),
}


def make_clip(folder: Path, name: str) -> Path:
    """Make the clip of recipe `name` in `folder`; a clip already there is kept."""
    recipe = RECIPES[name]
    path = folder / f"{name}{recipe.suffix}"
    if path.exists():
        return path
    first = folder / f"first_{path.name}" if recipe.then else path
    frames = b"".join(
        np.ascontiguousarray(
            np.rot90(numbered(i, recipe.width, recipe.height), recipe.quarter_turns)
        ).tobytes()
        for i in range(recipe.count)
    )
    size = (recipe.width, recipe.height)
    if recipe.quarter_turns % 2:
        size = size[::-1]
    sound = ("-f", "lavfi", "-i", f"sine=440:duration={recipe.count / recipe.fps}")
    run_ffmpeg(
        "-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{size[0]}x{size[1]}",
        "-r", str(recipe.fps), "-i", "-", *(sound if recipe.sound else ()), *recipe.args, first,
        stdin=frames,
    )  # fmt: skip
    if recipe.then:
        run_ffmpeg(*recipe.before_input, "-i", first, *recipe.then, path)
    return path


def run_ffmpeg(*args: str | Path, stdin: bytes = b"") -> bytes:
    """Run the ffmpeg program; its error text is the test's."""
    assert FFMPEG is not None
    done = subprocess.run(
        [FFMPEG, "-v", "error", "-y", "-threads", "1", *map(str, args)],
        input=stdin, capture_output=True, check=False,
    )  # fmt: skip
    if done.returncode:
        raise RuntimeError(done.stderr.decode(errors="replace"))
    return done.stdout
