"""One stroke of some recording, as comparisons and self-tests refer to it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Final

from analysis.comparing.phase import PhaseError, StrokeTimes
from app.review.values.errors import ReviewError
from app.review.values.part import FLAG, Cells, Moment, on_force
from app.review.values.text import readable

STROKE_COLUMNS: Final = {
    "source": "TEXT NOT NULL",
    "catch_s": "REAL NOT NULL",
    "finish_s": "REAL NOT NULL",
    "next_catch_s": "REAL NOT NULL",
    "label": "TEXT NOT NULL",
}
# These came later; see `Table.added`.
STROKE_COLUMNS_ADDED: Final = {"on_force": FLAG}


@dataclass(frozen=True)
class StrokeRef:
    """One stroke of some recording.

    Attributes
    ----------
    source : "" for the review's own recordings, else the id of a stroke in the library of
        reference strokes, or the path of another review as seen from this one
    catch_s, finish_s, next_catch_s : video seconds of that recording
    label : how the coach calls it, such as "last month"
    on_force : its events were taken from the force, and go with it when the line-up changes; those
        seen in the picture stay on their frames
    """

    source: str
    catch_s: float
    finish_s: float
    next_catch_s: float
    label: str = ""
    on_force: bool = False

    @property
    def times(self) -> StrokeTimes:
        """Its events; raises PhaseError when they are out of order."""
        return StrokeTimes(self.catch_s, self.finish_s, self.next_catch_s)


_REFERENCE_ID = re.compile(r"[0-9a-f]{32}")


def is_reference(source: str) -> bool:
    """Whether a stroke's source is the id of a stroke in the library of reference strokes."""
    return _REFERENCE_ID.fullmatch(source) is not None


def is_other_review(source: str) -> bool:
    """Whether a stroke's source is the path of another review."""
    return source != "" and not is_reference(source)


def stretched_stroke(stroke: StrokeRef, by: float) -> StrokeRef:
    """The same stroke on another clock of the review's own footage; others stay."""
    if stroke.source:
        return stroke
    return replace(
        stroke,
        catch_s=stroke.catch_s * by,
        finish_s=stroke.finish_s * by,
        next_catch_s=stroke.next_catch_s * by,
    )


def realigned_stroke(stroke: StrokeRef, moment: Moment) -> StrokeRef:
    """The same stroke after another line-up; one seen in a picture, or of others, stays."""
    if stroke.source or not stroke.on_force:
        return stroke
    return replace(
        stroke,
        catch_s=moment(stroke.catch_s),
        finish_s=moment(stroke.finish_s),
        next_catch_s=moment(stroke.next_catch_s),
    )


def check_stroke(stroke: StrokeRef) -> None:
    """Refuse a stroke whose events are out of order; raises ReviewError."""
    try:
        _ = stroke.times
    except PhaseError as error:
        raise ReviewError(str(error)) from error


def readable_stroke(stroke: StrokeRef) -> StrokeRef:
    """The stroke with a label any program can read."""
    return replace(stroke, label=readable(stroke.label))


def stroke_from(c: Cells) -> StrokeRef:
    """The stroke of a row with `STROKE_COLUMNS`."""
    times = (c.number("catch_s"), c.number("finish_s"), c.number("next_catch_s"))
    return StrokeRef(c.text("source"), *times, c.text("label"), on_force(c))
