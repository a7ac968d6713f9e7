"""A piece in so few numbers that a library can keep it, and still enough to compare it by."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from analysis.comparing.mean_error import changes_slowly, mean_error
from analysis.measures.measures import Measures
from analysis.measures.registry import KEYS
from analysis.sections.section import Section
from analysis.signals.stroke import Stroke
from analysis.version import ANALYSIS_VERSION


@dataclass(frozen=True)
class MeasureSummary:
    """One measure over the whole strokes of a section, in the unit of `Measures`.

    Attributes
    ----------
    sd : from stroke to stroke; None for a single stroke
    variance, freedom, stroke_variance : as `comparing.mean_error.MeanError`; 0 for a single stroke
    slow : whether the strokes wandered more slowly than chance lets them
    """

    key: str
    mean: float
    sd: float | None
    count: int
    variance: float = 0.0
    freedom: float = 0.0
    stroke_variance: float = 0.0
    slow: bool = False


@dataclass(frozen=True)
class SectionSummary:
    """A stretch of like rate and pressure.

    Attributes
    ----------
    count : whole strokes in it
    rate_spm, mean_n : middle stroke rate and mean force, None where unknown
    measures : by their keys; those no stroke has are left out
    """

    name: str
    count: int
    rate_spm: float | None
    mean_n: float | None
    measures: Mapping[str, MeasureSummary] = field(default_factory=dict)


@dataclass(frozen=True)
class FindingSummary:
    """What was found, as far as it is kept.

    Attributes
    ----------
    share : of the strokes looked at that show it, 0 to 1
    in_sections : how many strokes of each section show it
    raised : enough strokes show it to speak of it; others are kept for what follows alone
    whole_piece : it speaks of the piece as a whole; its share says nothing
    """

    code: str
    title: str
    phase: str
    share: float
    severity: float
    in_sections: tuple[int, ...] = ()
    raised: bool = True
    whole_piece: bool = False
    good: bool = False
    lead: bool = False
    seen_in: str = ""
    value: float | None = None
    unit: str = ""


@dataclass(frozen=True)
class PieceSummary:
    """What is kept of a piece.

    Attributes
    ----------
    source : "force", or "body" where strokes are known from the picture alone; "" without strokes
    rowed_on : ISO date, "" where it is not known
    looked_at : "force", "picture" or both: what could raise findings
    unjudged : codes of findings for which the points of the body are too poor
    """

    source: str = ""
    sections: tuple[SectionSummary, ...] = ()
    findings: tuple[FindingSummary, ...] = ()
    rowed_on: str = ""
    looked_at: tuple[str, ...] = ()
    unjudged: tuple[str, ...] = ()
    analysis_version: int = ANALYSIS_VERSION

    @property
    def count(self) -> int:
        """Whole strokes of all sections."""
        return sum(section.count for section in self.sections)


def measure_summary(key: str, values: Sequence[float]) -> MeasureSummary | None:
    """Sum up a measure of strokes in the order they were rowed; None of no stroke."""
    if not values:
        return None
    row = np.array(values, dtype=np.float64)
    if len(row) < 2:
        return MeasureSummary(key, float(row[0]), None, 1)
    error = mean_error(row)
    return MeasureSummary(
        key, float(row.mean()), float(row.std(ddof=1)), len(row),
        error.variance, error.freedom, error.stroke_variance, changes_slowly(row),
    )  # fmt: skip


def section_summary(
    strokes: Sequence[Stroke], measures: Sequence[Measures], section: Section | None = None
) -> SectionSummary:
    """Sum up the whole strokes of a section, or all of them where there is none."""
    rowed = [
        m
        for stroke, m in zip(strokes, measures, strict=True)
        if not stroke.remark and (section is None or section.holds(stroke.index))
    ]
    told: dict[str, MeasureSummary] = {}
    for key in KEYS:
        known = [value for value in (m[key] for m in rowed) if value is not None]
        summed = measure_summary(key, known)
        if summed is not None:
            told[key] = summed
    rate, force = told.get("rate_spm"), told.get("mean_n")
    if section is not None:
        return SectionSummary(section.name, len(rowed), section.rate_spm, section.mean_n, told)
    return SectionSummary(
        "", len(rowed), None if rate is None else rate.mean, None if force is None else force.mean,
        told,
    )  # fmt: skip
