"""What a library keeps of a review, as plain values that go from one process to another."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from functools import cached_property

from analysis.following_up.summaries import PieceSummary


@dataclass(frozen=True)
class RecordingSummary:
    """A recording of a submission; path, size and digest as its review names them."""

    kind: str
    sha256: str
    size: int
    path: str


@dataclass(frozen=True)
class PrescriptionSummary:
    """Something an athlete was told to change.

    Attributes
    ----------
    id : of the note it stands in
    finding : code, "" for none
    dose, until : how much and until when, "" where nothing was said
    film : what to film next time
    """

    id: str
    finding: str = ""
    title: str = ""
    cue: str = ""
    drill: str = ""
    dose: str = ""
    until: str = ""
    film: str = ""


@dataclass(frozen=True)
class AnswerSummary:
    """One file of answers.

    Attributes
    ----------
    received_at : when it was taken in, ISO 8601 in UTC
    done, open : notes ticked off, and not
    """

    id: str
    received_at: str
    done: int
    open: int
    comment: str


@dataclass(frozen=True)
class SentBundle:
    """A bundle that was written for an athlete.

    Attributes
    ----------
    id : 32 hexadecimal digits of its own
    sent_at : ISO 8601 in UTC
    mark : by which its answers are known
    """

    id: str
    sent_at: str
    path: str = ""
    mark: str = ""
    language: str = ""
    draft: bool = False
    bytes: int = 0


@dataclass(frozen=True)
class ReviewSummary:
    """A review as the library keeps it.

    Attributes
    ----------
    review_id : identity of the review
    athlete : as the review says it
    path : where the file lies
    submission_id : mark of its recordings, "" where it has none
    consent, minor : what its sending plan says
    piece : measures and findings; one without a source where no recording was at hand
    kept : (code, kept) of the findings that were decided on
    """

    review_id: str
    athlete: str
    title: str = ""
    draft: bool = False
    path: str = ""
    submission_id: str = ""
    recordings: tuple[RecordingSummary, ...] = ()
    consent: bool | None = None
    minor: bool = False
    notes: int = 0
    piece: PieceSummary = field(default_factory=PieceSummary)
    kept: tuple[tuple[str, bool], ...] = ()
    prescriptions: tuple[PrescriptionSummary, ...] = ()
    answers: tuple[AnswerSummary, ...] = ()

    @property
    def is_measured(self) -> bool:
        """Whether its recordings were at hand."""
        return bool(self.piece.looked_at)

    @cached_property
    def digest(self) -> str:
        """By which it is known whether anything changed; where the file lies does not count."""
        said = repr(replace(self, path=""))
        return hashlib.sha256(said.encode("utf-8", "replace")).hexdigest()
