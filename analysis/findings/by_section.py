"""A rule asked of each section by itself: a prescribed change of rate or pressure is no fault."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis.findings.raised import Raised
from analysis.findings.shapes import Shapes
from analysis.findings.thresholds import Thresholds
from analysis.sections.section import Section

SectionRule = Callable[[Shapes, Thresholds, int], Raised | None]


def by_section(
    rule: SectionRule, shapes: Shapes, limits: Thresholds, sections: Sequence[Section]
) -> Raised | None:
    """Ask a rule of every section and lay the answers together over all strokes.

    Parameters
    ----------
    sections : of the piece; fewer than two: the piece is asked as a whole

    Returns
    -------
    None where no section shows it. The effect is that of the section that shows it most, and its
    remarks come first; each says which section it speaks of.
    """
    if len(sections) < 2:
        return rule(shapes, limits, 1)
    told: list[tuple[Raised, NDArray[np.bool_], Section]] = []
    for section in sections:
        own = shapes.of(section)
        raised = rule(own, limits, len(sections)) if own.count else None
        if raised is not None:
            rows = np.array([section.holds(s.index) for s in shapes.strokes])
            told.append((raised, rows, section))
    if not told:
        return None
    told.sort(key=lambda each: -each[0].severity)
    return _over_all(told, shapes.count)


def _over_all(told: list[tuple[Raised, NDArray[np.bool_], Section]], count: int) -> Raised:
    shows = np.zeros(count, dtype=np.bool_)
    values = np.zeros(count)
    look, begin, end = (np.full(count, np.nan) for _ in range(3))
    remarks: list[str] = []
    for raised, rows, section in told:
        shows[rows] = raised.shows
        values[rows] = raised.values
        look[rows] = raised.look_s
        begin[rows], end[rows] = raised.percent_from, raised.percent_to
        remarks += [f"{_place(section)}: {remark}" for remark in raised.remarks]
    return replace(
        told[0][0],
        shows=shows,
        values=values,
        percent_from=begin,
        percent_to=end,
        look_s=look,
        remarks=tuple(remarks),
    )


def _place(section: Section) -> str:
    return f"Strokes {section.first + 1} to {section.last + 1} ({section.name})"
