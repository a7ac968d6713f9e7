"""What the body tells of a submission, with and without a force beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from analysis.clocks.alignment import Alignment
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.submission.body import LoadedBody, loaded_body
from app.submission.draft import draft_state
from app.submission.load import of_piece
from app.submission.submission import FilmFacts, LoadedFilm, LoadedSubmission
from tests.helpers.followed import track_of
from tests.helpers.rowed import force_of, rowed

FILM = MediaRef("video", "film.mp4", 1, "0" * 64)
LINED_UP = Alignment(method="by hand", uncertainty_s=0.01)


@pytest.fixture(scope="module")
def body() -> LoadedBody:
    return loaded_body(FILM, track_of(rowed("early-arms"), 0.002), 1.84)


def film_alone(body: LoadedBody | None) -> LoadedSubmission:
    film = LoadedFilm(FILM, None, None, FilmFacts(30.0, 30.0, 1280, 720, False))
    return LoadedSubmission(ReviewState(video=FILM), Path(), (film,), body=body)


def test_a_film_alone_has_strokes_measures_and_findings_of_the_picture(body: LoadedBody) -> None:
    sent = film_alone(body)
    assert sent.strokes == body.strokes and {s.source for s in sent.strokes} == {"body"}
    assert body.usual["rate_spm"] is not None and body.usual["peak_n"] is None
    assert body.order is not None and len(body.order.parts) == 3
    found = {f.code: f.seen_in for f in sent.findings}
    assert found["early-arms"] == "picture"
    assert {remark.code for remark in sent.raised.remarks} == {"body"}
    assert any("Low back rounds" in remark.said for remark in sent.raised.remarks)


def test_a_draft_of_a_film_alone_talks_about_the_body(body: LoadedBody) -> None:
    state = draft_state(film_alone(body))
    assert any(note.text.startswith("Arms bend too early") for note in state.notes)
    assert all(0.0 <= note.video_s <= 30.0 for note in state.notes)
    plain = loaded_body(FILM, track_of(rowed(), 0.002), 1.84)
    texts = [note.text for note in draft_state(film_alone(plain)).notes]
    assert any("From the picture" in text and "stroke rate 24" in text for text in texts)
    assert "nothing was measured" in draft_state(film_alone(None)).notes[0].text


def test_beside_a_force_strokes_are_those_of_the_force(body: LoadedBody) -> None:
    piece = force_of(rowed("early-arms"))
    state = ReviewState(video=FILM, alignment=LINED_UP)
    sent = replace(of_piece(state, piece), body=body)
    assert sent.strokes == piece.strokes
    arms = next(f for f in sent.findings if f.code == "early-arms")
    assert arms.where.trace_s is not None and arms.where.video_s is not None
    assert set(arms.strokes) <= {stroke.index for stroke in piece.strokes}


def test_what_is_not_lined_up_is_not_joined(body: LoadedBody) -> None:
    sent = replace(of_piece(ReviewState(video=FILM), force_of(rowed("early-arms"))), body=body)
    assert all(f.seen_in == "force" for f in sent.findings)
    assert [r.said for r in sent.raised.remarks if "lined up" in r.said]
