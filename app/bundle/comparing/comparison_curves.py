"""Both force curves of a comparison: on one axis, drawn on paper, and with a cursor on them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.comparing.curves import CurvePair, PairAxis
from analysis.comparing.phase import phase_of
from app.bundle.wording.signal_words import titled
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.review.parts.comparisons import Comparison
from app.scene import colours, raster
from app.scene.figure import Tick, lay_out
from app.scene.force_curve import cursor, knobs, pair_of
from app.scene.pair_figure import PairWords, pair_figure
from app.scene.plot import Plot
from app.submission.resolving import Resolved
from app.submission.rowed_stroke import pair_of as rowed_pair

Image = NDArray[np.uint8]
# As wide as fills a phone held across; one above the other, a phone held upright.
WIDTHS_PX: Final = {"beside": 1280, "above": 960, "over": 1280}
_STRIP_PX: Final = 270
_LETTER_PX: Final = 17.0
_X_WORDS: Final[dict[PairAxis, str]] = {
    "time": "x_seconds",
    "length": "x_metres",
    "percent": "x_time",
}


@dataclass(frozen=True)
class CurveStrip:
    """Both curves drawn once, and where a frame's moment stands on them.

    Attributes
    ----------
    base : (h, w, 3) RGB
    pair : the curves, along the axis of the strip; the right one is moved by the shift
    plot : where axis and force stand in the base, pixels
    by_phase : the axis is percent of the drive, else seconds from the left catch
    """

    base: Image
    pair: CurvePair
    plot: Plot
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
    if left.rowed is None or right.rowed is None:
        return None
    pair = rowed_pair(
        left.rowed, right.rowed, "percent" if comparison.timing == "phase" else "time"
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
    plot = strip.plot
    curves = pair_of(strip.pair, ("", ""))[1]
    raster.paint(image, [*cursor(plot, at), *knobs(plot, curves[::-1], at)], colours.LIGHT)
    return image


def said_of(pair: CurvePair, names: tuple[str, str], words: Words) -> PairWords:
    """What the figure of a pair says, in the words of the page."""
    seen = "" if pair.is_force else "_picture"
    catch, finish = ("catch", "finish") if pair.is_force else ("hands_turn", "finish_turn")
    return PairWords(
        words[_X_WORDS[pair.axis] + seen], y_words(pair, words), one_line(names[0]),
        one_line(names[1]), words["compare_shaded"], words[catch], words[finish],
        words["decimal"],
    )  # fmt: skip


def y_words(pair: CurvePair, words: Words) -> str:
    """What is compared, with its unit."""
    if pair.is_force:
        return words["y_force"]
    return f"{titled(pair.signal, pair.title, words)}, {pair.unit}"


def _drawn(
    pair: CurvePair, by_phase: bool, words: Words, width: int, labels: tuple[str, str]
) -> CurveStrip:
    size = (float(width), float(_STRIP_PX))
    figure = pair_figure(pair, said_of(pair, labels, words), size, _LETTER_PX)
    ticks = tuple(Tick(t.at, f"{t.words} {t.below}".strip()) for t in figure.ticks)
    figure = replace(figure, ticks=ticks, key_above=True, y_words="", unit=pair.unit)
    laid = lay_out(figure, raster.measure)
    base = raster.picture(laid.drawing, colours.LIGHT, width)
    return CurveStrip(base, pair, laid.plot, by_phase)


def _shifted(pair: CurvePair, shift_s: float) -> CurvePair:
    """Both curves as they stand under each other when the right one runs later."""
    step = float(pair.along[1] - pair.along[0])
    low, high = min(0.0, -shift_s), pair.along[-1] + max(0.0, -shift_s)
    along = np.linspace(low, high, max(2, round((high - low) / step) + 1))
    left, right = (
        np.interp(along + by, pair.along, curve, left=np.nan, right=np.nan)
        for by, curve in ((0.0, pair.left), (shift_s, pair.right))
    )
    return replace(pair, along=along, left=left, right=right)
