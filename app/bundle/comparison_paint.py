"""Two pictures in one: beside, above or over each other, with both curves running beneath."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.comparing.curves import CurvePair, force_pair
from analysis.comparing.phase import phase_of
from analysis.comparing.picture_fit import PictureFit, place, shown_fit
from app.bundle import colours
from app.bundle.curves import STYLE
from app.bundle.lettering import outlines
from app.bundle.mark_paint import fixed_points
from app.bundle.text import one_line
from app.bundle.words import Words
from app.media.light import lifted
from app.media.opencv import opencv
from app.review.comparison import Comparison
from app.review.marks import Point, turned
from app.review.resolving import Resolved
from app.review.state import PictureTurn

Image = NDArray[np.uint8]
# As wide as fills a phone held across; one above the other, a phone held upright.
WIDTHS_PX: Final = {"beside": 1280, "above": 960, "over": 1280}
_STRIP_PX: Final = 270
_GAP_PX: Final = 4
_TALLEST_PX: Final = 720.0
_LETTER_PX: Final = 20
_FINER: Final = 4  # letters are drawn this much larger and shrunk, which keeps them slim
DARK: Final = (20, 24, 26)  # where a picture does not reach
_DPI: Final = 100
# A picture that becomes smaller than this share is shrunk by area first, or it would shimmer.
_SHRINK_FIRST: Final = 0.75


@dataclass(frozen=True)
class CurveStrip:
    """Both curves drawn once, and where a frame's moment stands on them.

    Attributes
    ----------
    base : (h, w, 3) RGB
    pair : the curves, along the axis of the strip; the right one is moved by the shift
    x_px, y_px : from axis and force to pixels of the base
    by_phase : the axis is percent of the drive, else seconds from the left catch
    """

    base: Image
    pair: CurvePair
    x_px: tuple[float, float]  # pixel = x_px[0] + x_px[1] * value
    y_px: tuple[float, float]
    by_phase: bool


@dataclass(frozen=True)
class Stage:
    """A room of any shape to paint a pair into as it stood on the bench.

    Attributes
    ----------
    size : width and height of the result, pixels
    zoom : factor, and the place (0-1) of the turned left picture in the middle
    drawn : puts marks on the left picture, of which it is told what is seen: left, top, width and
        height as shares of the whole turned picture
    """

    size: tuple[int, int]
    zoom: tuple[float, float, float] = (1.0, 0.5, 0.5)
    drawn: Callable[[Image, tuple[float, float, float, float]], Image] | None = None

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

    def seen(self, each: tuple[int, int]) -> tuple[float, float, float, float]:
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
    if stage is not None and stage.drawn is not None:
        left = stage.drawn(left, placed.seen(each))
    matrix = _onto(fit, left_size, right_size, turn, placed)
    right = lifted(_warped(right_rgb, matrix, each), right_lift)
    image = _together(left, right, matrix, right_size, comparison, size, each)
    if stage is not None and comparison.layout != "over":
        _darken_gap(image, comparison, each)
    _label(image, comparison, labels, each, _LETTER_PX if stage is None else stage.letter_px)
    if strip is None:
        return image
    return np.vstack((image, paint_cursor(strip, comparison, left_s)))


def curve_strip(
    comparison: Comparison,
    left: Resolved,
    right: Resolved,
    words: Words,
    width: int | None = None,
    labels: tuple[str, str] = ("", ""),
) -> CurveStrip | None:
    """Draw both force curves with their difference shaded; None where one is not known."""
    pair = curves_of(comparison, left, right)
    if pair is None:
        return None
    by_phase = comparison.timing == "phase"
    return _drawn(pair, by_phase, words, width or WIDTHS_PX[comparison.layout], labels)


def curves_of(comparison: Comparison, left: Resolved, right: Resolved) -> CurvePair | None:
    """Both force curves as they run under the pictures; None where one is not known.

    By percent of the drive where the pictures go by phase, else by seconds from the left catch.
    """
    if left.piece is None or right.piece is None:
        return None
    if left.force_stroke is None or right.force_stroke is None:
        return None
    pair = force_pair(
        (left.piece.trace, left.force_stroke),
        (right.piece.trace, right.force_stroke),
        "percent" if comparison.timing == "phase" else "time",
    )
    if pair is None or comparison.timing != "free":
        return pair
    return _shifted(pair, comparison.shift_s)


def paint_cursor(strip: CurveStrip, comparison: Comparison, left_s: float | None) -> Image:
    """The strip with its cursor at a moment of the left clock; (h, w, 3) RGB."""
    image = strip.base.copy()
    if left_s is None:
        return image
    times = comparison.left.times
    at = 100.0 * phase_of(times, left_s) if strip.by_phase else left_s - times.catch_s
    along = strip.pair.along
    if not along[0] <= at <= along[-1]:
        return image  # the recovery: the handle pulls nothing that could be compared
    cv2 = opencv()
    x = strip.x_px[0] + strip.x_px[1] * at
    top, bottom = (strip.y_px[0] + strip.y_px[1] * v for v in (_top_n(strip.pair), 0.0))
    ink = _rgb(colours.QUIET_INK)
    ends = fixed_points([(x, top), (x, bottom)])
    cv2.polylines(image, [ends], False, ink, 2, cv2.LINE_AA, 4)
    for curve, colour in ((strip.pair.left, colours.BLUE), (strip.pair.right, colours.BLACK)):
        force_n = float(np.interp(at, along, curve))
        if np.isfinite(force_n):
            y = strip.y_px[0] + strip.y_px[1] * force_n
            centre = tuple(int(v) for v in fixed_points([(x, y)])[0])
            cv2.circle(image, centre, 7 << 4, (255, 255, 255), -1, cv2.LINE_AA, 4)
            cv2.circle(image, centre, 7 << 4, _rgb(colour), 3, cv2.LINE_AA, 4)
    return image


def draw_pair(plot: Any, pair: CurvePair, names: tuple[str, str], words: Words) -> None:
    """Draw two curves with their difference shaded, told apart by line and label."""
    both = np.isfinite(pair.difference)
    # A dollar sign would begin a formula, and a name that begins with _ would be left out.
    names = (_plain(names[0]), _plain(names[1]))
    plot.fill_between(
        pair.along,
        pair.left,
        pair.right,
        where=both,
        color=colours.BAND,
        linewidth=0,
        label=words["compare_shaded"],
    )
    plot.plot(pair.along, pair.left, color=colours.BLUE, linewidth=2.8, label=names[0])
    plot.plot(
        pair.along,
        pair.right,
        color=colours.BLACK,
        linewidth=2.2,
        linestyle=(0, (5, 2.2)),
        label=names[1],
    )
    plot.set_xlim(float(pair.along[0]), float(pair.along[-1]))
    plot.set_ylim(0, _top_n(pair))
    plot.locator_params(axis="y", nbins=5)
    plot.grid(axis="y", color=colours.RULE, linewidth=0.8)
    plot.set_axisbelow(True)
    plot.tick_params(length=0, pad=6)
    for side in ("top", "right", "left"):
        plot.spines[side].set_visible(False)


def _drawn(
    pair: CurvePair, by_phase: bool, words: Words, width: int, labels: tuple[str, str]
) -> CurveStrip:
    import matplotlib.style
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    height = _STRIP_PX
    with matplotlib.style.context(["default", STYLE, {"font.size": 13}]):
        figure = Figure(figsize=(width / _DPI, height / _DPI), dpi=_DPI)
        canvas = FigureCanvasAgg(figure)
        left = 92 / width
        plot = figure.add_axes((left, 0.25, 1.0 - left - 60 / width, 0.6))
        draw_pair(plot, pair, labels, words)
        if by_phase:
            ends = {0: f"0 {words['catch']}", 100: f"100 {words['finish']}"}
            plot.set_xticks([0, 25, 50, 75, 100], [ends.get(t, str(t)) for t in range(0, 101, 25)])
        plot.set_xlabel(words["x_time" if by_phase else "x_seconds"], labelpad=2)
        plot.set_ylabel(words["y_newton"])
        figure.legend(
            loc="upper left",
            bbox_to_anchor=(left, 1.0),
            ncols=3,
            frameon=False,
            fontsize=13,
            handlelength=3.2,
            borderaxespad=0.2,
        )
        canvas.draw()
        base = np.asarray(canvas.buffer_rgba())[:, :, :3].copy()
        zero, one = plot.transData.transform([(0.0, 0.0), (1.0, 1.0)])
    return CurveStrip(
        base,
        pair,
        (float(zero[0]), float(one[0] - zero[0])),
        (height - float(zero[1]), float(zero[1] - one[1])),
        by_phase,
    )


def _shifted(pair: CurvePair, shift_s: float) -> CurvePair:
    """Both curves as they stand under each other when the right one runs later."""
    step = float(pair.along[1] - pair.along[0])
    low, high = min(0.0, -shift_s), pair.along[-1] + max(0.0, -shift_s)
    along = np.linspace(low, high, max(2, round((high - low) / step) + 1))
    left, right = (
        np.interp(along + by, pair.along, curve, left=np.nan, right=np.nan)
        for by, curve in ((0.0, pair.left), (shift_s, pair.right))
    )
    return CurvePair(pair.axis, along, left, right)


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
    cv2, size = opencv(), float(letter_px * _FINER)
    while len(words) > 1 and _wide(words, size) > room * _FINER - 0.8 * size:
        words = words[:-2].rstrip() + "…"
    width, height = round(_wide(words, size) + 0.8 * size), round(1.6 * size)
    plate = np.full((height, width, 3), DARK, np.uint8)
    base = 0.5 * height + 0.36 * size
    letters = [
        fixed_points([(0.4 * size + x * size, base - y * size) for x, y in o])
        for o in outlines(words)
    ]
    if letters:
        cv2.fillPoly(plate, letters, (255, 255, 255), cv2.LINE_8, 4)
    room_px = (max(1, width // _FINER), max(1, height // _FINER))
    small: Image = cv2.resize(plate, room_px, interpolation=cv2.INTER_AREA)
    return small


def _wide(words: str, size: float) -> float:
    return max((float(o[:, 0].max()) for o in outlines(words)), default=0.3) * size


def _top_n(pair: CurvePair) -> float:
    highest = [float(np.nanmax(c)) for c in (pair.left, pair.right) if np.isfinite(c).any()]
    return 1.08 * max([1.0, *highest])


def _size_of(image: Image) -> tuple[int, int]:
    return int(image.shape[1]), int(image.shape[0])


def _plain(name: str) -> str:
    return "\u200b" + one_line(name).replace("$", r"\$")


def _rgb(colour: str) -> tuple[int, int, int]:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return red, green, blue
