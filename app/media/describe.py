"""What a coach should know about a recording before working on it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from app.media.index import FrameIndex
from app.media.video import VideoFile

# All limits below are common practice, no source.
LOW_FPS = 25.0  # under it a drive of 0.7 s is seen in fewer than 18 pictures
SHORT_S = 10.0  # about four strokes
DARK_LEVEL = 45.0  # mean of the picture, 0..255
UNEVEN_SHARE = 0.05  # of frame intervals more than a fifth off the median
_LOOKS = 5


def look_at(
    path: Path, index: FrameIndex, progress: Callable[[float, str], None]
) -> tuple[str, ...]:
    """What `usable` says of a file whose frames are known, for a child process.

    Raises
    ------
    MediaError
        It cannot be opened any more.
    """
    with VideoFile.open(path, index=index) as video:
        return usable(video)


def usable(video: VideoFile) -> tuple[str, ...]:
    """Short remarks about a recording, worst first; none when there is nothing to say.

    Looks at up to five frames, so it takes as long as five jumps.
    """
    remarks = []
    if video.assumed_fps is not None:
        remarks.append(
            f"The file holds no times (a bare stream of pictures): {video.assumed_fps:.4g} frames "
            "per second are assumed, and all times rest on that. Ask the athlete for the film as "
            "the phone saved it (MP4 or MOV)."
        )
    if video.fps < LOW_FPS:
        remarks.append(
            f"Only {video.fps:.3g} frames per second: a moment in the picture is uncertain by "
            f"{500 / video.fps:.0f} ms; the film is used as it is. Next time, ask the athlete to "
            "film at 60 frames per second, in good light."
        )
    if video.capture_fps is not None and video.capture_fps > 1.5 * video.fps:
        remarks.append(
            f"Slow motion: recorded at {video.capture_fps:.3g} frames per second, "
            f"played at {video.fps:.3g}."
        )
    if is_dark(video):
        remarks.append("Dark picture: edges of the body will be hard to see.")
    if video.duration_s < SHORT_S:
        remarks.append(f"Short: {video.duration_s:.1f} s holds only a few strokes.")
    if video.height > video.width:
        remarks.append("Portrait: the ends of the stroke may be cut off at the sides.")
    if is_uneven(video.index.time_s):
        remarks.append("Uneven frame rate: each frame is shown at its own true time.")
    if not video.has_sound:
        remarks.append("No sound: it cannot help to line up the force.")
    return tuple(remarks)


def is_dark(video: VideoFile) -> bool:
    """Whether most of the frames looked at are dark."""
    last = len(video.index) - 1
    picks = sorted({round(last * k / (_LOOKS - 1)) for k in range(_LOOKS)})
    levels = [float(video.frame_bgra(i, 160, 160)[..., :3].mean()) for i in picks]
    return float(np.median(levels)) < DARK_LEVEL


def is_uneven(time_s: np.ndarray) -> bool:
    """Whether frames come at clearly uneven intervals; rounding to 1 ms does not count."""
    steps = np.diff(time_s)
    if len(steps) < 4:
        return False
    typical = float(np.median(steps))
    off = np.abs(steps - typical) > 0.2 * typical + 0.001
    return float(off.mean()) > UNEVEN_SHARE
