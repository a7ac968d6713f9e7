"""Two pictures in one: beside, above or over each other, with both curves running beneath."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.comparing.picture_fit import PictureFit, place, shown_fit
from app.bundle.comparing.comparison_curves import WIDTHS_PX, CurveStrip, paint_cursor
from app.bundle.comparing.comparison_marks import Drawn, Seen, seen_of
from app.bundle.wording.text import one_line
from app.media.light import lifted
from app.media.opencv import opencv
from app.review.mark_shapes import turned
from app.review.parts.comparisons import Comparison
from app.review.parts.marks import Point
from app.review.parts.picture import PictureTurn
from app.scene import raster
from app.scene.plot import cut
from app.scene.raster import fixed_points
from app.scene.shapes import Drawing, Text

Image = NDArray[np.uint8]
_GAP_PX: Final = 4
_TALLEST_PX: Final = 720.0
_LETTER_PX: Final = 20
_PLATE: Final = {"ground": "#14181A", "words": "#FFFFFF"}
DARK: Final = (20, 24, 26)  # where a picture does not reach
# A picture that becomes smaller than this share is shrunk by area first, or it would shimmer.
_SHRINK_FIRST: Final = 0.75


@dataclass(frozen=True)
class Stage:
    """A room of any shape to paint a pair into as it stood on the bench.

    Attributes
    ----------
    size : width and height of the result, pixels
    zoom : factor, and the place (0-1) of the turned left picture in the middle
    """

    size: tuple[int, int]
    zoom: tuple[float, float, float] = (1.0, 0.5, 0.5)

    @property
    def letter_px(self) -> int:
        """How large labels are written: as large for the eye whatever the room."""
        return max(12, round(self.size[0] / 64))


@dataclass(frozen=True)
class _Place:
    """Where a turned picture lies in its room: `x_0`, `y_0` is its corner."""

    scale: float
    x_0: float
    y_0: float
    wide: int
    high: int

    def seen(self, each: tuple[int, int]) -> Seen:
        """What the room shows of it, as shares of it."""
        across, down = self.scale * self.wide, self.scale * self.high
        return -self.x_0 / across, -self.y_0 / down, each[0] / across, each[1] / down


def clip_size(
    comparison: Comparison,
    left_size: tuple[int, int],
    turn: PictureTurn,
    width: int | None = None,
    strip: CurveStrip | None = None,
) -> tuple[int, int]:
    """Width and height of what `paint_pair` gives: both even."""
    width = width or WIDTHS_PX[comparison.layout]
    wide, high = _pictures_size(comparison, left_size, turn, width)
    return wide, high + (0 if strip is None else strip.base.shape[0])


def paint_pair(
    left_rgb: Image,
    right_rgb: Image,
    comparison: Comparison,
    *,
    turn: PictureTurn | None = None,
    right_lift: float = 0.0,
    width: int | None = None,
    labels: tuple[str, str] = ("", ""),
    strip: CurveStrip | None = None,
    left_s: float | None = None,
    stage: Stage | None = None,
    drawn: tuple[Drawn | None, Drawn | None] = (None, None),
) -> Image:
    """Put two frames together as a comparison says.

    Parameters
    ----------
    left_rgb, right_rgb : (H, W, 3) upright at source size, each of its own recording
    turn : how the left picture is shown; the right one, laid over it, turns along
    right_lift : how far the right picture's dark parts are raised; the left one's is in `turn`
    width : pixels of the result, even; None for that of the layout in `WIDTHS_PX`
    labels : words on either picture
    strip : both curves to stand beneath, see `curve_strip`
    left_s : the moment on the left clock that both frames stand for; None draws no cursor
    stage : a room to fill instead of `width`, as on the bench
    drawn : what puts marks on the left and on the right picture, each told what is seen of it

    Returns
    -------
    (h, w, 3) RGB, the size of which `clip_size`, or the stage, tells
    """
    turn = turn or PictureTurn()
    width = width or WIDTHS_PX[comparison.layout]
    left_size, right_size = _size_of(left_rgb), _size_of(right_rgb)
    size = _pictures_size(comparison, left_size, turn, width) if stage is None else stage.size
    each = _each_size(comparison, *size)
    placed = _placed(left_size, turn, each, (1.0, 0.5, 0.5) if stage is None else stage.zoom)
    fit = shown_fit(comparison.fit, left_size, right_size)
    left = _warped(left_rgb, _onto(None, left_size, left_size, turn, placed), each)
    left = lifted(left, turn.lift)
    matrix = _onto(fit, left_size, right_size, turn, placed)
    right = lifted(_warped(right_rgb, matrix, each), right_lift)
    if drawn[0] is not None:
        left = drawn[0](left, placed.seen(each))
    if drawn[1] is not None:
        right = drawn[1](right, seen_of(matrix, right_size, each))
    image = _together(left, right, matrix, right_size, comparison, size, each)
    if stage is not None and comparison.layout != "over":
        _darken_gap(image, comparison, each)
    _label(image, comparison, labels, each, _LETTER_PX if stage is None else stage.letter_px)
    if strip is None:
        return image
    return np.vstack((image, paint_cursor(strip, comparison, left_s)))


def _pictures_size(
    comparison: Comparison, left_size: tuple[int, int], turn: PictureTurn, width: int
) -> tuple[int, int]:
    wide, high = left_size if turn.quarter_turns % 2 == 0 else left_size[::-1]
    each = (width - _GAP_PX) / 2 if comparison.layout == "beside" else width
    height = each * high / wide
    if comparison.layout == "above":
        return width, 2 * round(min(height, _TALLEST_PX * 0.75)) + _GAP_PX
    return width, 2 * round(min(height, _TALLEST_PX) / 2)


def _each_size(comparison: Comparison, wide: int, high: int) -> tuple[int, int]:
    """Room for each picture."""
    if comparison.layout == "beside":
        return (wide - _GAP_PX) // 2, high
    return (wide, (high - _GAP_PX) // 2) if comparison.layout == "above" else (wide, high)


def _placed(
    left_size: tuple[int, int],
    turn: PictureTurn,
    each: tuple[int, int],
    zoom: tuple[float, float, float],
) -> _Place:
    """Where the left picture lies in its room: in its middle, or filling it when zoomed."""
    wide, high = left_size if turn.quarter_turns % 2 == 0 else left_size[::-1]
    scale = min(each[0] / wide, each[1] / high) * max(zoom[0], 1.0)

    def corner(room: int, side: float, middle: float) -> float:
        if side <= room:
            return (room - side) / 2.0
        return min(max(room / 2.0 - middle * side, room - side), 0.0)

    x_0, y_0 = corner(each[0], scale * wide, zoom[1]), corner(each[1], scale * high, zoom[2])
    return _Place(scale, x_0, y_0, wide, high)


def _onto(
    fit: PictureFit | None,
    left_size: tuple[int, int],
    size: tuple[int, int],
    turn: PictureTurn,
    placed: _Place,
) -> NDArray[np.float64]:
    """(2, 3) matrix from a picture's own pixels to its room; `fit` None for the left one."""
    scale, x_0, y_0 = placed.scale, placed.x_0, placed.y_0

    def where(point: Point) -> NDArray[np.float64]:
        over = point if fit is None else place(fit, point, size)
        x, y = turned(over, left_size, turn.quarter_turns, turn.mirrored)
        return np.array((x_0 + scale * x, y_0 + scale * y))

    start = where((0.0, 0.0))
    return np.column_stack((where((1.0, 0.0)) - start, where((0.0, 1.0)) - start, start))


def _warped(image: Image, matrix: NDArray[np.float64], room: tuple[int, int]) -> Image:
    cv2 = opencv()
    scale = float(np.sqrt(abs(np.linalg.det(matrix[:, :2]))))
    matrix = matrix.copy()
    if scale < _SHRINK_FIRST:
        height, width = image.shape[:2]
        small = (max(1, round(width * scale)), max(1, round(height * scale)))
        image = cv2.resize(image, small, interpolation=cv2.INTER_AREA)
        matrix[:, 0] *= width / small[0]
        matrix[:, 1] *= height / small[1]
    # OpenCV counts from the middle of the first pixel, we from its corner.
    matrix[:, 2] += 0.5 * (matrix[:, 0] + matrix[:, 1]) - 0.5
    warped: Image = cv2.warpAffine(
        image,
        matrix,
        room,
        flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=DARK,
    )
    return warped


def _together(
    left: Image,
    right: Image,
    matrix: NDArray[np.float64],
    right_size: tuple[int, int],
    comparison: Comparison,
    size: tuple[int, int],
    each: tuple[int, int],
) -> Image:
    if comparison.layout == "over":
        cv2 = opencv()
        # Where the right picture does not reach, the left one stays as it is.
        reach = np.zeros(left.shape[:2], np.uint8)
        corners = [(0, 0), (right_size[0], 0), right_size, (0, right_size[1])]
        seen = [tuple(matrix[:, :2] @ corner + matrix[:, 2]) for corner in corners]
        cv2.fillPoly(reach, [fixed_points(seen)], 255, cv2.LINE_8, 4)
        mixed = cv2.addWeighted(left, 1.0 - comparison.opacity, right, comparison.opacity, 0.0)
        over: Image = cv2.copyTo(mixed, reach, left.copy())
        return over
    image = np.full((size[1], size[0], 3), 255, np.uint8)
    image[: each[1], : each[0]] = left
    image[size[1] - each[1] :, size[0] - each[0] :] = right
    return image


def _darken_gap(image: Image, comparison: Comparison, each: tuple[int, int]) -> None:
    """On the bench's dark ground a white line between the pictures would glare."""
    if comparison.layout == "beside":
        image[:, each[0] : image.shape[1] - each[0]] = DARK
    else:
        image[each[1] : image.shape[0] - each[1]] = DARK


def _label(
    image: Image,
    comparison: Comparison,
    labels: tuple[str, str],
    each: tuple[int, int],
    letter_px: int,
) -> None:
    height, width = image.shape[:2]
    at = {
        "beside": ((0, 0), (width - each[0], 0)),
        "above": ((0, 0), (0, height - each[1])),
        "over": ((0, 0), (width // 2, 0)),
    }[comparison.layout]
    rooms = width if comparison.layout == "above" else width // 2
    for (x, y), words in zip(at, labels, strict=True):
        if one_line(words):
            _plate(image, one_line(words), (x + 10, y + 10), rooms - 24, letter_px)


def _plate(image: Image, words: str, corner: tuple[int, int], room: int, letter_px: int) -> None:
    """Words on a dark plate, cut where there is no more room, and at the picture's own edges."""
    plate, (left, top) = _lettered(words, max(room, 2 * letter_px), letter_px), corner
    height, width = image.shape[:2]
    part = plate[: max(0, height - top), : max(0, width - left)]
    image[top : top + part.shape[0], left : left + part.shape[1]] = part


@lru_cache(maxsize=16)
def _lettered(words: str, room: int, letter_px: int) -> Image:
    """A plate with words, no wider than the room; (h, w, 3)."""
    size = float(letter_px)

    def wide(text: str) -> float:
        return raster.measure(text, size, True)

    words = cut(words, room - 0.8 * size, wide)
    width, height = max(1, round(wide(words) + 0.8 * size)), round(1.6 * size)
    said = Text(0.4 * size, 0.5 * height + 0.36 * size, words, size, "words", "start", True)
    return raster.picture(Drawing(width, height, (said,)), _PLATE, width)


def _size_of(image: Image) -> tuple[int, int]:
    return int(image.shape[1]), int(image.shape[0])
