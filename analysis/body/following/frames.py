"""Frames of a film as they are asked for here, a few at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from analysis.body.following.observed import FollowingCancelledError
from analysis.body.following.opencv import opencv

Image = NDArray[np.uint8]


class FrameReader(Protocol):
    """Gives the frames shown from `start_s` up to, but without, `end_s`, in their order.

    A frame is its time, seconds of the film, and its upright picture: grey (H, W) or colour
    (H, W, 3) with red first. All frames of a film are of one size.
    """

    def __call__(self, start_s: float, end_s: float) -> Iterable[tuple[float, Image]]:
        """Give the frames of a stretch, one by one."""
        ...


def grey(image: Image) -> Image:
    """Give the brightness of a picture, (H, W) uint8."""
    if image.ndim == 2:
        return np.ascontiguousarray(image)
    cv2 = opencv()
    return np.asarray(cv2.cvtColor(np.ascontiguousarray(image), cv2.COLOR_RGB2GRAY), dtype=np.uint8)


def shrunk(image: Image, factor: int) -> Image:
    """Shrink a grey picture by a whole factor (which is quick), leaving out what is over."""
    if factor <= 1:
        return image
    cv2 = opencv()
    height, width = (side // factor for side in image.shape)
    part = image[: height * factor, : width * factor]
    return np.asarray(cv2.resize(part, (width, height), interpolation=cv2.INTER_AREA), np.uint8)


def walk(
    read: FrameReader,
    span_s: tuple[float, float],
    cancelled: Callable[[], bool],
    progress: Callable[[float], None],
) -> Iterator[tuple[float, Image]]:
    """Give the grey frames of a span, saying how far it got (0 to 1).

    Raises
    ------
    FollowingCancelledError
        `cancelled` said so.
    """
    start_s, end_s = span_s
    whole = max(end_s - start_s, 1e-6)
    last = -np.inf
    for time_s, image in read(start_s, end_s):
        if cancelled():
            raise FollowingCancelledError
        if time_s <= last:
            continue  # a film may show two frames at one instant
        last = time_s
        yield time_s, grey(image)
        progress(min(max((time_s - start_s) / whole, 0.0), 1.0))


def frame_at(read: FrameReader, time_s: float, reach_s: float = 0.1) -> tuple[float, Image] | None:
    """Give the frame nearest to a time, grey; None where the film has none near it."""
    nearest: tuple[float, Image] | None = None
    for at_s, image in read(time_s - reach_s, time_s + reach_s):
        if nearest is None or abs(at_s - time_s) < abs(nearest[0] - time_s):
            nearest = (at_s, image)
    return None if nearest is None else (nearest[0], grey(nearest[1]))
