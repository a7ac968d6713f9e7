"""The frame on screen as a picture file."""

from __future__ import annotations

from pathlib import Path

from app.media.orientation import Turn
from app.media.still import write_png
from app.media.video import VideoFile


def write_still(film: Path, time_s: float, out: Path, turn: Turn | None = None) -> int:
    """Write the frame on screen at `time_s`, turned further, and give its number."""
    with VideoFile.open(film) as video:
        number = video.index.at(time_s)
        write_png((turn or Turn()).apply(video.frame_rgb(number)), out)
    return number
