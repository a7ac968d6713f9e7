"""Summaries of pieces as rows of the library, and back."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import fields
from typing import Any

from sqlalchemy import Connection, Row, select

from analysis.following_up.summaries import (
    FindingSummary,
    MeasureSummary,
    PieceSummary,
    SectionSummary,
)
from app.library.tables import FINDING, MEASURE, REVIEW, SECTION

_MEASURE = tuple(f.name for f in fields(MeasureSummary))
_FINDING = tuple(f.name for f in fields(FindingSummary) if f.name != "in_sections")


def section_row(place: int, section: SectionSummary) -> dict[str, Any]:
    """A section without its measures."""
    return {
        "place": place, "name": section.name, "count": section.count,
        "rate_spm": section.rate_spm, "mean_n": section.mean_n,
    }  # fmt: skip


def measure_rows(place: int, section: SectionSummary) -> Iterator[dict[str, Any]]:
    """The measures of a section."""
    for told in section.measures.values():
        yield {"place": place, **{name: getattr(told, name) for name in _MEASURE}}


def finding_row(place: int, finding: FindingSummary) -> dict[str, Any]:
    """A finding."""
    told = {name: getattr(finding, name) for name in _FINDING}
    return {"place": place, "in_sections": json.dumps(list(finding.in_sections)), **told}


def pieces_of(connection: Connection, athlete_id: str) -> dict[str, PieceSummary]:
    """The pieces of an athlete by the identity of their review, oldest first."""
    reviews = connection.execute(
        select(REVIEW)
        .where(REVIEW.c.athlete_id == athlete_id)
        .order_by(REVIEW.c.rowed_on, REVIEW.c.added_at, REVIEW.c.id)
    ).all()
    sections = _sections(connection, athlete_id)
    findings: dict[str, list[FindingSummary]] = defaultdict(list)
    query = select(FINDING).where(FINDING.c.athlete_id == athlete_id).order_by(FINDING.c.place)
    for row in connection.execute(query):
        findings[row.review_id].append(_finding(row))
    return {
        row.id: PieceSummary(
            row.source, tuple(sections[row.id]), tuple(findings[row.id]), row.rowed_on,
            tuple(row.looked_at.split()), tuple(json.loads(row.unjudged)), row.analysis_version,
        )
        for row in reviews
    }  # fmt: skip


def _sections(connection: Connection, athlete_id: str) -> dict[str, list[SectionSummary]]:
    measures: dict[tuple[str, int], list[MeasureSummary]] = defaultdict(list)
    columns = [MEASURE.c[name] for name in _MEASURE]
    query = select(MEASURE.c.review_id, MEASURE.c.place, *columns).where(
        MEASURE.c.athlete_id == athlete_id
    )
    for review_id, place, *values in connection.execute(query):
        measures[review_id, place].append(MeasureSummary(*values))
    found: dict[str, list[SectionSummary]] = defaultdict(list)
    query_sections = (
        select(SECTION).where(SECTION.c.athlete_id == athlete_id).order_by(SECTION.c.place)
    )
    for row in connection.execute(query_sections):
        told = _by_key(measures[row.review_id, row.place])
        found[row.review_id].append(
            SectionSummary(row.name, row._mapping["count"], row.rate_spm, row.mean_n, told)
        )
    return found


def _by_key(measures: Iterable[MeasureSummary]) -> dict[str, MeasureSummary]:
    return {told.key: told for told in measures}


def _finding(row: Row[Any]) -> FindingSummary:
    told = {name: getattr(row, name) for name in _FINDING}
    return FindingSummary(**told, in_sections=tuple(json.loads(row.in_sections)))
