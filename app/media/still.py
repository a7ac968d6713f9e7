"""One frame as a picture file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.media.atomic import replacing
from app.media.errors import MediaError
from app.media.light import lifted
from app.media.opencv import opencv
from app.media.orientation import Turn
from app.media.video import VideoFile


@dataclass(frozen=True)
class Still:
    """What was written.

    Attributes
    ----------
    index : number of the frame
    damage : a sentence where the recording is damaged there, else None
    """

    index: int
    damage: str | None = None


def write_still(
    video_path: str | Path,
    time_s: float,
    out_png: str | Path,
    quarter_turns: int = 0,
    mirrored: bool = False,
    lift: float = 0.0,
) -> Still:
    """Write the frame on screen at `time_s` as a PNG at source size, without metadata.

    Parameters
    ----------
    time_s : seconds from the first shown frame
    quarter_turns, mirrored : a further clockwise turn, then mirror, on top of upright
    lift : how far dark parts are raised, see `app.media.light`

    Returns
    -------
    Still
        Which frame it is, and what is wrong with it.

    Raises
    ------
    MediaError
        The recording cannot be used or the picture cannot be written.
    """
    with VideoFile.open(video_path) as video:
        i = video.index.at(time_s)
        image = video.frame_rgb(i)
        damage = video.damage_at(i)
    write_png(lifted(Turn(quarter_turns % 4, mirrored).apply(image), lift), out_png)
    return Still(i, damage)


def write_png(image: NDArray[np.uint8], out_png: str | Path) -> None:
    """Write an (H, W, 3) RGB picture as PNG, whole or not at all, without metadata."""
    done, data = opencv().imencode(".png", np.ascontiguousarray(image[..., ::-1]))
    if not done:
        raise MediaError(f"{Path(out_png).name} could not be made.")
    with replacing(out_png) as temporary:
        temporary.write_bytes(data.tobytes())
