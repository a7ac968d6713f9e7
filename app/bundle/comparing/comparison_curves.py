"""Both force curves of a comparison: on one axis, drawn on paper, and with a cursor on them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.comparing.curves import CurvePair, force_pair
from analysis.comparing.phase import phase_of
from app.bundle.pictures.curves import STYLE
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.media.opencv import opencv
from app.review.parts.comparisons import Comparison
from app.scene import colours
from app.scene.raster import fixed_points
from app.submission.resolving import Resolved

Image = NDArray[np.uint8]
# As wide as fills a phone held across; one above the other, a phone held upright.
WIDTHS_PX: Final = {"beside": 1280, "above": 960, "over": 1280}
_STRIP_PX: Final = 270
_DPI: Final = 100


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


def _top_n(pair: CurvePair) -> float:
    highest = [float(np.nanmax(c)) for c in (pair.left, pair.right) if np.isfinite(c).any()]
    return 1.08 * max([1.0, *highest])


def _plain(name: str) -> str:
    return "\u200b" + one_line(name).replace("$", r"\$")


def _rgb(colour: str) -> tuple[int, int, int]:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return red, green, blue
