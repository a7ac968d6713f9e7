"""The one door through which a bundle gets pictures of a film: what is to be hidden is hidden here.

Nothing else in this package opens a recording or cuts a clip (a test holds it), so that what is
added later cannot show a face that the coach blurred.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.review.parts.blur import BlurRegion, region_at
from app.review.parts.state import ReviewState

if TYPE_CHECKING:
    from app.media.encode import ClipLook
    from app.media.laid import Laid
    from app.media.veil import Patch, Veil
    from app.media.video import VideoFile


def open_film(film: Path | Sequence[Laid], state: ReviewState) -> VideoFile:
    """Open the film of a review on its clock, with its faces hidden.

    Parameters
    ----------
    film : its first film alone, or the films of a cut one, which are shown as one
    state : the review whose film it is; of another review, its own state

    Raises
    ------
    MediaError
        It cannot be used.
    """
    from app.media.laid import Laid
    from app.media.reel import open_reel

    films = (Laid(film, 0.0, told_rate(state)),) if isinstance(film, Path) else film
    return open_reel(films, veil_of(state.blurs))


def first_of_made(made: Path, box_px: tuple[int, int]) -> NDArray[np.uint8]:
    """Give the first picture of a film that was made for a bundle, where faces are hidden.

    Returns
    -------
    (height, width, 3) array, RGB, no larger than the box

    Raises
    ------
    MediaError
        It cannot be read.
    """
    from app.media.video import VideoFile

    with VideoFile.open(made) as film:
        return film.frame_bgra(0, *box_px)[..., 2::-1]


def cut(
    path: Path,
    state: ReviewState,
    from_s: float,
    to_s: float,
    out_mp4: Path,
    cancelled: Callable[[], bool] | None = None,
    paint: Callable[[NDArray[np.uint8], float], NDArray[np.uint8]] | None = None,
) -> None:
    """Cut a clip of the film of a review, turned as the coach set it, with its faces hidden.

    Raises
    ------
    MediaError
        The film cannot be used there, or the writing was cancelled.
    """
    from app.media.encode import cut_clip

    cut_clip(
        path,
        from_s,
        to_s,
        out_mp4,
        quarter_turns=state.turn.quarter_turns,
        mirrored=state.turn.mirrored,
        lift=state.turn.lift,
        capture_fps=told_rate(state),
        cancelled=cancelled,
        paint=paint,
        veil=veil_of(state.blurs),
    )


def cut_from(
    film: VideoFile,
    state: ReviewState,
    from_s: float,
    to_s: float,
    out_mp4: Path,
    look: ClipLook,
    cancelled: Callable[[], bool] | None = None,
    passing: Callable[[int], None] | None = None,
) -> None:
    """Cut a clip of a film that `open_film` opened, turned as the coach set it.

    Parameters
    ----------
    look : how large and how close, and what is painted; turn and lift are the review's
    passing : called with the number of each frame while it is at hand

    Raises
    ------
    MediaError
        The film cannot be used there, or the writing was cancelled.
    """
    from app.media.encode import cut_open
    from app.media.orientation import Turn

    turn = Turn(state.turn.quarter_turns % 4, state.turn.mirrored)
    look = replace(look, turn=turn, lift=state.turn.lift)
    cut_open(film, from_s, to_s, out_mp4, look, cancelled=cancelled, passing=passing)


def told_rate(state: ReviewState) -> float | None:
    """Give the rate a slow-motion film was recorded at, where the coach said so."""
    return None if state.video is None else state.video.capture_fps


def veil_of(regions: Sequence[BlurRegion]) -> Veil | None:
    """Give what hides regions at a video time; None where there are none."""
    if not regions:
        return None
    from app.media.veil import Patch

    def veil(video_s: float) -> tuple[Patch, ...]:
        found = (region_at(region, video_s) for region in regions)
        return tuple(Patch(k.x_px, k.y_px, _AIR * k.w_px, _AIR * k.h_px) for k in found if k)

    return veil


# A hand draws a face rather too small than too large, and following is good to a few pixels.
_AIR = 1.15
