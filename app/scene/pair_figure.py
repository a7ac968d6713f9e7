"""Two strokes over each other as a figure: on the screen, on the page, under a clip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.comparing.curves import CurvePair
from app.scene.figure import Figure, Tick, drive_ticks
from app.scene.force_curve import pair_of
from app.scene.plot import levels

_ROOM = 0.1  # over and under curves that may be negative, as a share of their reach


@dataclass(frozen=True)
class PairWords:
    """What a figure of two strokes says; "" leaves a word out, and a line without name its key."""

    x: str = ""
    y: str = ""
    left: str = ""
    right: str = ""
    shaded: str = ""
    catch: str = "catch"
    finish: str = "finish"
    decimal: str = "."


def pair_figure(
    pair: CurvePair, words: PairWords, size: tuple[float, float], letter: float
) -> Figure:
    """Two curves with their difference shaded, told apart by line and label."""
    band, curves = pair_of(pair, (words.left, words.right), words.shaded)
    first, last = float(pair.along[0]), float(pair.along[-1])
    if pair.axis == "percent":
        ticks = drive_ticks(words.catch, words.finish)
    else:
        said = {at: f"{at:g}".replace(".", words.decimal) for at in levels(first, last, 6)}
        ticks = tuple(Tick(at, text) for at, text in said.items())
    return Figure(
        size, letter, curves[::-1], (first, last), reach_of(pair), ticks,
        x_words=words.x, y_words=words.y, band=band, decimal=words.decimal,
    )  # fmt: skip


def reach_of(pair: CurvePair) -> tuple[float, float]:
    """Lower and upper end of a plot that shows both: from nothing for a force."""
    if pair.is_force:
        return 0.0, top_of(pair)
    both = np.concatenate((pair.left, pair.right))
    low, high = float(np.nanmin(both)), float(np.nanmax(both))
    room = _ROOM * max(high - low, 1e-6)
    return low - room, high + room


def top_of(pair: CurvePair) -> float:
    """The force at the upper end of a plot that shows both, N."""
    highest = [float(np.nanmax(c)) for c in (pair.left, pair.right) if np.isfinite(c).any()]
    return 1.08 * max([1.0, *highest])
