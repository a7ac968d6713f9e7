"""Sections found in a piece, and the piece within one of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from analysis.measures.measures import Measures
from analysis.measures.rowed_piece import RowedPiece
from analysis.sections.change_points import LineCosts, cut
from analysis.sections.section import Origin, Section, default_name
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke

P = TypeVar("P", bound=RowedPiece)

# Fewer strokes are no section: the shortest stretch a session names (a start) has about five.
LEAST: Final = 5
# A step smaller than this is no other section. Rates are prescribed in steps of two; force is
# steered no finer than about a tenth. Common practice, no source.
STEP_RATE: Final = 1.5  # a minute
STEP_FORCE: Final = 0.12  # share
# Strokes are held to vary by this at least, as shares. Trained rowers vary by 3.4 % (drive-mean
# power, Sprague et al. 2007, Med Sci Sports Exerc 39(2)); of the rate: common practice, no source.
LEAST_NOISE: Final = {"rate": 0.012, "force": 0.034}
# What a further section must save of the squared error, in units of the noise: about three times
# what the Bayesian criterion asks for its five figures. Measured: docs/findings.md.
PENALTY: Final = 12.0  # times the logarithm of the number of strokes
CLEARLY: Final = 30.0  # the same for two neighbours, with the likeness of strokes counted
ODD: Final = 4.0  # times the noise: one stroke that far from its neighbours is odd


def find_sections(piece: RowedPiece) -> tuple[Section, ...]:
    """Cut a piece into stretches of like rate and pressure.

    Looked at are rate and mean force of the whole strokes, as logarithms. A stretch is a straight
    line in both, so that who tires or speeds up gradually rows one section; one odd stroke, or two,
    are none. A new section is at least `LEAST` strokes long, differs by `STEP_RATE` or `STEP_FORCE`
    and by more than strokes that resemble their neighbours differ anyway.

    Returns
    -------
    Sections in order, together all strokes; one for a steady piece, none without a whole stroke.
    """
    rows = [i for i, stroke in enumerate(piece.strokes) if not stroke.remark]
    if not rows:
        return ()
    channels = _channels([piece.measures[i] for i in rows])
    begins = [0, *(_boundaries(channels) if channels is not None else [])]
    firsts = [piece.strokes[rows[b]].index for b in begins]
    return sections_from(piece, firsts)


def sections_from(
    piece: RowedPiece,
    firsts: Sequence[int],
    names: Sequence[str] | None = None,
    origin: Origin = "found",
) -> tuple[Section, ...]:
    """Make sections that begin at some strokes; the first one takes what is before it.

    Parameters
    ----------
    firsts : indices of strokes, ascending
    names : one a section, "" for what was rowed
    """
    if not piece.strokes or not firsts:
        return ()
    begins = [piece.strokes[0].index, *firsts[1:]]
    ends = [*(b - 1 for b in begins[1:]), piece.strokes[-1].index]
    said = names or [""] * len(begins)
    return tuple(
        _section(piece, first, last, name, origin)
        for first, last, name in zip(begins, ends, said, strict=True)
    )


def within(piece: P, section: Section) -> P:
    """The piece with only the strokes of a section: their mean curve and spread, their numbers."""
    kept = [i for i, stroke in enumerate(piece.strokes) if section.holds(stroke.index)]
    return piece if len(kept) == len(piece.strokes) else piece.only(kept)


def _section(piece: RowedPiece, first: int, last: int, name: str, origin: Origin) -> Section:
    inside = [
        (stroke, measures)
        for stroke, measures in zip(piece.strokes, piece.measures, strict=True)
        if first <= stroke.index <= last
    ]
    whole = [m for stroke, m in inside if not stroke.remark]
    rate, rate_change = _level([m.rate_spm for m in whole])
    force, force_change = _level([m.mean_n for m in whole])
    return Section(
        first,
        last,
        len(whole),
        inside[0][0].catch_s,
        _over_s(inside[-1][0]),
        rate,
        force,
        rate_change or 0.0,
        0.0 if not force or not force_change else force_change / (force - 0.5 * force_change),
        name or default_name(len(whole), rate, force, rate_change or 0.0),
        origin,
    )


def _over_s(stroke: Stroke) -> float:
    return stroke.finish_s if stroke.next_catch_s is None else stroke.next_catch_s


def _level(values: Sequence[float | None]) -> tuple[float | None, float | None]:
    """Middle value, and how far a straight line goes from the first to the last.

    The line rises as the middle one of all pairs does (Theil 1950, Sen 1968).
    """
    known = np.array([v for v in values if v is not None], dtype=np.float64)
    if len(known) == 0:
        return None, None
    middle = float(np.median(known))
    if len(known) < LEAST:
        return middle, None
    few = known[:: max(1, len(known) // 300)]  # all pairs of a very long piece fill the memory
    one, other = np.triu_indices(len(few), 1)
    return middle, float(np.median((few[other] - few[one]) / (other - one))) * (len(few) - 1)


def _channels(measures: Sequence[Measures]) -> FloatArray | None:
    """(N, C) logarithms of rate and mean force; None where there is too little to cut."""
    if len(measures) < 2 * LEAST:
        return None
    columns = []
    for key in ("rate_spm", "mean_n"):
        values = np.array([np.nan if (v := m[key]) is None else v for m in measures])
        values = np.where(values > 0.0, values, np.nan)
        known = np.isfinite(values)
        if known.sum() < 2 * LEAST:
            values, known = np.ones(len(measures)), np.ones(len(measures), dtype=np.bool_)
        at = np.arange(len(values))
        columns.append(np.log(np.interp(at, at[known], values[known])))
    return np.column_stack(columns)


def _boundaries(channels: FloatArray) -> list[int]:
    """Rows at which sections begin, without the first."""
    noise = np.maximum(_noise(channels), list(LEAST_NOISE.values()))
    calm = _without_odd(channels, noise)
    costs = LineCosts.of(calm / noise)
    found = cut(costs, LEAST, PENALTY * float(np.log(len(calm))))
    return _clear_ones(calm, found)


def _noise(channels: FloatArray) -> FloatArray:
    """How far strokes lie from the ones before them, robustly: (C,)."""
    steps = np.abs(np.diff(channels, axis=0))
    noise: FloatArray = np.median(steps, axis=0) / 0.6745 / 2.0**0.5
    return noise


def _without_odd(channels: FloatArray, noise: FloatArray) -> FloatArray:
    """Odd strokes at the level of the strokes around them: a running median of five."""
    from scipy.ndimage import median_filter

    usual = median_filter(channels, size=(5, 1), mode="mirror")
    odd: NDArray[np.bool_] = np.abs(channels - usual) > ODD * noise
    return np.where(odd, usual, channels)


def _clear_ones(calm: FloatArray, cuts: list[int]) -> list[int]:
    """Take away what is too small a step, or not clear of how alike strokes are, the least first.

    The noise is that about the sections themselves, times (1 + r) / (1 - r) for the likeness r of
    neighbours: so much more do means of such strokes vary.
    """
    kept = list(cuts)
    while kept:
        edges = [0, *kept, len(calm)]
        noise = _noise_about(calm, edges)
        costs = LineCosts.of(calm / noise)
        gains = []
        for first, middle, end in zip(edges[:-2], edges[1:-1], edges[2:], strict=True):
            saved = (costs(first, end) - costs(first, middle) - costs(middle, end)).sum()
            gains.append(float(saved) if _is_step(calm, first, middle, end) else 0.0)
        least = int(np.argmin(gains))
        if gains[least] >= CLEARLY:
            break
        del kept[least]
    return kept


def _noise_about(calm: FloatArray, edges: Sequence[int]) -> FloatArray:
    from itertools import pairwise

    rest = np.concatenate([calm[a:b] - _line(calm, a, b) for a, b in pairwise(edges)])
    freedom = max(len(calm) - 2.0 * (len(edges) - 1), 1.0)
    total = (rest**2).sum(axis=0)
    variance = np.maximum(total / freedom, np.array(list(LEAST_NOISE.values())) ** 2)
    alike = (rest[1:] * rest[:-1]).sum(axis=0) / np.maximum(total, 1e-12)
    alike = np.clip(alike + (1.0 + 4.0 * alike) * (len(edges) - 1) / len(calm), 0.0, 0.8)
    noise: FloatArray = np.sqrt(variance * (1.0 + alike) / (1.0 - alike))
    return noise


def _line(calm: FloatArray, first: int, end: int) -> FloatArray:
    x = np.arange(end - first, dtype=np.float64)
    fit = np.polynomial.polynomial.polyfit(x, calm[first:end], 1)
    line: FloatArray = fit[0] + x[:, None] * fit[1]
    return line


def _is_step(calm: FloatArray, first: int, middle: int, end: int) -> bool:
    """Whether one line instead of two would be off by half a step somewhere."""
    apart = np.concatenate((_line(calm, first, middle), _line(calm, middle, end)))
    off = np.abs(apart - _line(calm, first, end)).max(axis=0)
    rate = float(np.exp(np.median(calm[first:end, 0])))
    return bool(off[0] >= 0.5 * STEP_RATE / rate or off[1] >= 0.5 * STEP_FORCE)
