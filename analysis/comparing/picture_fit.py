"""One picture laid over another by things that stand still in both: the stretcher, the rail."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]

# Two clicks closer than this tell nothing of a scale: a pixel's slip would be 10 % of it.
CLOSEST_PX: Final = 10.0
# Beyond this the clicks were on different things; no two cameras stand so differently.
LARGEST_SCALE: Final = 10.0


class PictureFitError(ValueError):
    """Clicks that lay no picture over another. The message is one sentence for the user."""


@dataclass(frozen=True)
class PictureFit:
    """How the right picture is laid over the left one.

    A place of the right picture, mirrored about its own vertical middle where asked, times `scale`
    plus the shift is the place in the left picture (video pixels of the upright source).
    """

    mirrored: bool = False
    scale: float = 1.0
    shift_x_px: float = 0.0
    shift_y_px: float = 0.0


@dataclass(frozen=True)
class Fitted:
    """A fit and how far the clicks lie from it, root mean square, pixels of the left picture.

    Two pictures of cameras that stand level agree within the slip of a hand; more says that one
    camera is tilted or that a click was on another thing.
    """

    fit: PictureFit
    residual_px: float


def fit_pictures(
    left: Sequence[Point],
    right: Sequence[Point],
    right_size: tuple[float, float],
    mirrored: bool | None = None,
) -> Fitted:
    """Lay the right picture over the left one by least squares, without turning it.

    Minimises the sum of squared distances over scale and shift; with the places taken from their
    means this is linear regression (Umeyama 1991, IEEE PAMI 13(4), without the rotation).

    Parameters
    ----------
    left, right : the same two or more things in both pictures, in the same order, video pixels
    right_size : width and height of the right picture
    mirrored : whether the right picture is mirrored first; None finds out which fits better

    Raises
    ------
    PictureFitError
        Fewer than two pairs, clicks that lie together, or pictures that do not fit.
    """
    if mirrored is None:
        return _better(left, right, right_size)
    to, start = _points(left), _points(right)
    if len(to) != len(start) or len(to) < 2:
        raise PictureFitError("Click the same two things in both pictures, such as the stretcher.")
    if _apart(to) < CLOSEST_PX or _apart(start) < CLOSEST_PX:
        raise PictureFitError("The two clicks lie together; choose two things farther apart.")
    if mirrored:
        start = np.column_stack((right_size[0] - start[:, 0], start[:, 1]))
    start_0, to_0 = start - start.mean(axis=0), to - to.mean(axis=0)
    scale = float((start_0 * to_0).sum() / (start_0**2).sum())
    if scale <= 0.0:
        raise PictureFitError(
            "The clicks stand the other way round in the other picture; mirror it, or click the "
            "two things in the same order."
        )
    if not 1.0 / LARGEST_SCALE <= scale <= LARGEST_SCALE:
        raise PictureFitError(
            "The clicks would make one picture more than ten times as large as the other; click "
            "the same two things in both."
        )
    shift = to.mean(axis=0) - scale * start.mean(axis=0)
    off = scale * start + shift - to
    fit = PictureFit(mirrored, scale, float(shift[0]), float(shift[1]))
    return Fitted(fit, float(np.sqrt((off**2).sum(axis=1).mean())))


def whole_fit(
    left_size: tuple[float, float], right_size: tuple[float, float], mirrored: bool = False
) -> PictureFit:
    """Lay the whole right picture into the left one, as large as it goes, in its middle."""
    scale = min(left_size[0] / right_size[0], left_size[1] / right_size[1])
    x, y = ((a - scale * b) / 2.0 for a, b in zip(left_size, right_size, strict=True))
    return PictureFit(mirrored, scale, x, y)


def shown_fit(
    fit: PictureFit, left_size: tuple[float, float], right_size: tuple[float, float]
) -> PictureFit:
    """The fit to show: one that nobody made yet is that of the whole picture."""
    if fit == PictureFit(fit.mirrored):
        return whole_fit(left_size, right_size, fit.mirrored)
    return fit


def place(fit: PictureFit, point: Point, size: tuple[float, float]) -> Point:
    """Where a place of the right picture lies in the left one.

    Parameters
    ----------
    size : width and height of the right picture
    """
    x = size[0] - point[0] if fit.mirrored else point[0]
    return fit.scale * x + fit.shift_x_px, fit.scale * point[1] + fit.shift_y_px


def _better(
    left: Sequence[Point], right: Sequence[Point], right_size: tuple[float, float]
) -> Fitted:
    found, problems = [], []
    for mirrored in (False, True):
        try:
            found.append(fit_pictures(left, right, right_size, mirrored))
        except PictureFitError as error:
            problems.append(error)
    if not found:
        raise problems[0]
    return min(found, key=lambda fitted: fitted.residual_px)


def _points(points: Sequence[Point]) -> NDArray[np.float64]:
    flat = [float(value) for point in points for value in point]
    if not all(math.isfinite(value) for value in flat):
        raise PictureFitError("A click was at no place of the picture; click again.")
    return np.array(flat, dtype=np.float64).reshape(-1, 2)


def _apart(points: NDArray[np.float64]) -> float:
    return max(math.dist(a, b) for a in points for b in points)
