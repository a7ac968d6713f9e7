"""Whether two files show the same film: sent twice, under another name or compressed again."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from app.media.video import VideoFile

# A film compressed again keeps its length but for a few frames at either end.
LENGTHS_APART_S: Final = 0.25
_MOMENTS: Final = 16
_SLIP: Final = (-2, -1, 0, 1, 2)  # frames by which one may begin later than the other
_SMALL: Final = (40, 30)  # pixels
# What changes from moment to moment, correlated, over all of them and at each. Set on films
# compressed again (0.979 and 0.88 at least); a part of the piece a stroke later may reach it.
ALIKE, ALIKE_AT_EACH = 0.965, 0.83


def same_film(one: str | Path, other: str | Path) -> bool:
    """Whether two files show the same pictures at the same moments, whatever their size.

    Strokes are alike: a short film that begins a stroke later may look the same.

    Raises
    ------
    MediaError
        One of them cannot be read.
    """
    with VideoFile.open(one) as first, VideoFile.open(other) as second:
        if abs(first.duration_s - second.duration_s) > LENGTHS_APART_S:
            return False
        return _moves_alike(first, second)


def _moves_alike(first: VideoFile, second: VideoFile) -> bool:
    """Whether the same moves at the same moments, but for a frame or two."""
    ends = min(first.duration_s, second.duration_s)
    moments = np.linspace(0.03, 0.97, _MOMENTS) * ends
    own = _changes([_small(first, first.index.at(float(at_s))) for at_s in moments])
    for slip in sorted(_SLIP, key=abs):
        later = moments + slip / max(second.fps, 1.0)
        seen = _changes([_small(second, second.index.at(float(at_s))) for at_s in later])
        if _correlation(own, seen) >= ALIKE:
            each = [_correlation(a, b) for a, b in zip(own, seen, strict=True)]
            if min(each) >= ALIKE_AT_EACH:
                return True
    return False


def _small(film: VideoFile, i: int) -> NDArray[np.float64]:
    from app.media.opencv import opencv

    cv = opencv()
    grey = cv.cvtColor(film.frame_bgra(i, 320, 320), cv.COLOR_BGRA2GRAY)
    return np.asarray(cv.resize(grey, _SMALL, interpolation=cv.INTER_AREA), dtype=float)


def _changes(pictures: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    """What is not the same in all: a camera on a tripod sees one room all the time."""
    stacked = np.stack(pictures)
    moving: NDArray[np.float64] = stacked - stacked.mean(axis=0)
    return moving


def _correlation(one: NDArray[np.float64], two: NDArray[np.float64]) -> float:
    both = float(np.sqrt((one**2).sum() * (two**2).sum()))
    if both <= 0.0:  # nothing moves: only the pictures themselves could tell, and they may be alike
        return 0.0
    return float((one * two).sum()) / both
