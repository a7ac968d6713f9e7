"""Answers find their review by the mark of a bundle, of the recordings, and by ticked notes."""

from __future__ import annotations

from app.library.library import Library
from app.library.record import record_bundle, store
from app.library.summaries import PrescriptionSummary, SentBundle
from app.library.whose import reviews_answered
from tests.helpers.library_rows import told_review


def test_by_the_recordings_and_by_a_bundle_sent_before_one_more_was_added(own: Library) -> None:
    first, second = told_review("Ada"), told_review("Ben")
    store(own, [first, second])
    record_bundle(own, second.review_id, SentBundle("b" * 32, "2026-03-01", mark="c" * 16))
    (found,) = reviews_answered(own, first.submission_id)
    assert (found.review_id, found.athlete, found.title) == (first.review_id, "Ada", "Piece 1")
    assert (found.path, found.day, found.told) == (first.path, "2026-02-05", False)
    assert [one.athlete for one in reviews_answered(own, "c" * 16)] == ["Ben"]
    assert reviews_answered(own, "d" * 16) == ()


def test_of_two_reviews_of_the_same_recordings_the_one_with_the_ticked_note(own: Library) -> None:
    told = (PrescriptionSummary("e" * 32, "give", "Give", "Hold on", "Pauses"),)
    first = told_review("Ada")
    again = told_review("Ada", 2, submission_id=first.submission_id, prescriptions=told)
    store(own, [first, again])
    both = reviews_answered(own, first.submission_id, ["0" * 32])
    assert {one.review_id for one in both} == {first.review_id, again.review_id}
    (found,) = reviews_answered(own, first.submission_id, ["e" * 32])
    assert found.review_id == again.review_id and found.told
