"""Where in its stroke a frame is, when no point is known through the film: from small pictures."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analysis.body.following.frames import Image
from analysis.body.following.observed import click_rows
from analysis.body.following.opencv import opencv
from analysis.body.following.turns import phase_of
from analysis.body.track import POINTS, Click
from analysis.signals.signal import FloatArray

_WIDE, _HIGH = 48, 27
_LOOKED_AT = 800  # frames the patterns are learnt from
_PATTERNS = 3
_AGREES = 0.8  # correlation of a pattern with the clicked way, to be taken instead of the first


class Thumbnails:
    """Very small pictures of all frames."""

    def __init__(self) -> None:
        self.pictures: list[Image] = []

    def add(self, image: Image) -> None:
        """Keep a frame, small."""
        cv2 = opencv()
        thin = max(image.shape[1] // (4 * _WIDE), 1)
        few = np.ascontiguousarray(image[::thin, ::thin])
        small = cv2.resize(few, (_WIDE, _HIGH), interpolation=cv2.INTER_AREA)
        self.pictures.append(np.asarray(small, dtype=np.uint8))

    def ways(self) -> FloatArray:
        """How far (T, 3) each frame is along the changes that explain most of the film."""
        rows = np.array(self.pictures, dtype=np.float32).reshape(len(self.pictures), -1)
        pick = np.unique(np.linspace(0, len(rows) - 1, _LOOKED_AT).astype(int))
        mean = rows[pick].mean(axis=0)
        _, _, patterns = np.linalg.svd(rows[pick] - mean, full_matrices=False)
        return np.asarray((rows - mean) @ patterns[:_PATTERNS].T, dtype=np.float64)


def phase_of_thumbnails(
    time_s: FloatArray, thumbnails: Thumbnails, clicks: Sequence[Click]
) -> FloatArray:
    """Phase (T,) from the way most of the picture changes; NaN where it does not go to and fro.

    Clicks on hip or wrist choose the change that goes with them; whole numbers are then the turns
    nearer to the ankle.
    """
    if len(time_s) < 12:
        return np.full(len(time_s), np.nan)
    ways = thumbnails.ways()
    frame, point, place = click_rows(time_s, clicks)
    for name in ("hip", "wrist", "handle", "seat", "knee"):
        mine = point == POINTS.index(name)
        if mine.sum() < 4 or np.ptp(place[mine, 0]) < 2.0:
            continue
        agree = [
            np.corrcoef(ways[frame[mine], k], place[mine, 0])[0, 1] for k in range(ways.shape[1])
        ]
        best = int(np.argmax(np.abs(agree)))
        if abs(agree[best]) >= _AGREES:
            ankle = place[point == POINTS.index("ankle"), 0]
            towards = len(ankle) > 0 and np.median(place[mine, 0]) < np.median(ankle)
            return phase_of(time_s, ways[:, best] * np.sign(agree[best]) * (-1 if towards else 1))
    return phase_of(time_s, ways[:, 0])
