"""Whether two files show the same film: sent twice, under another name or compressed again."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from app.media.video import VideoFile

# A film compressed again keeps its length but for a few frames at either end.
_LENGTHS_APART_S: Final = 0.25
_MOMENTS: Final = 16
_SLIP: Final = (-2, -1, 0, 1, 2)  # frames by which one may begin later than the other
_SMALL: Final = (40, 30)  # pixels
# What changes from moment to moment, correlated: set on films compressed again and on parts of one
# piece from one camera, which differ by the rower alone; see docs/footage.md.
ALIKE: Final = 0.9


def same_film(one: str | Path, other: str | Path) -> bool:
    """Whether two files show the same pictures at the same moments, whatever their size.

    Raises
    ------
    MediaError
        One of them cannot be read.
    """
    with VideoFile.open(one) as first, VideoFile.open(other) as second:
        if abs(first.duration_s - second.duration_s) > _LENGTHS_APART_S:
            return False
        inside = np.linspace(0.03, 0.97, _MOMENTS) * min(first.duration_s, second.duration_s)
        own = _changes([_small(first, first.index.at(float(at_s))) for at_s in inside])
        step_s = 1.0 / max(second.fps, 1.0)
        return any(
            _correlation(
                own,
                _changes(
                    [_small(second, second.index.at(float(at_s) + k * step_s)) for at_s in inside]
                ),
            )
            >= ALIKE
            for k in sorted(_SLIP, key=abs)
        )


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
