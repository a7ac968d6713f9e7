"""What the body tells of a submission, with and without a force beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.body.track import POINTS, Source
from analysis.clocks.alignment import Alignment
from analysis.force.piece import PieceAnalysis
from app.review.parts.body import BodyClick, BodyOfFilm, RemoveBody, SetBody
from app.review.parts.body_readings import Readings, readings_of
from app.review.parts.check import check_state
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.review.values.errors import ReviewError
from app.submission.body import UNUSABLE, LoadedBody, body_of, loaded_body
from app.submission.draft import draft_state
from app.submission.load import load
from app.submission.loaded_film import FilmFacts, LoadedFilm
from app.submission.submission import LoadedForce, LoadedSubmission
from tests.helpers.followed import followed_as, track_of
from tests.helpers.rowed import force_of, rowed
from tests.helpers.states import body_clicks, readings

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


def of_piece(state: ReviewState, piece: PieceAnalysis, body: LoadedBody) -> LoadedSubmission:
    force = LoadedForce(MediaRef("trace", "force.csv", 1, "1" * 64), Path("force.csv"), piece)
    return LoadedSubmission(state, Path(), forces=(force,), body=body)


def test_beside_a_force_strokes_are_those_of_the_force(body: LoadedBody) -> None:
    piece = force_of(rowed("early-arms"))
    state = ReviewState(video=FILM, alignment=LINED_UP)
    sent = of_piece(state, piece, body)
    assert sent.strokes == piece.strokes
    arms = next(f for f in sent.findings if f.code == "early-arms")
    assert arms.where.trace_s is not None and arms.where.video_s is not None
    assert set(arms.strokes) <= {stroke.index for stroke in piece.strokes}


def test_what_is_not_lined_up_is_not_joined(body: LoadedBody) -> None:
    sent = of_piece(ReviewState(video=FILM), force_of(rowed("early-arms")), body)
    assert all(f.seen_in == "force" for f in sent.findings)
    assert [r.said for r in sent.raised.remarks if "lined up" in r.said]


CLICK = BodyClick("a", 1.0, "knee", 300.0, 300.0)


def kept(scale: float = 1.0) -> ReviewState:
    """A review that keeps what was followed, on a clock `scale` times as long as the film's."""
    observed = followed_as(track_of(rowed(strokes=4), 0.002)).observed
    return SetBody(readings_of(observed), scale).apply(ReviewState(video=FILM))


def test_what_a_review_keeps_is_loaded_also_where_the_film_is_not_here(tmp_path: Path) -> None:
    loaded = load(kept(), tmp_path / "a.review")
    assert loaded.video_path is None and loaded.body is not None
    assert loaded.strokes and loaded.strokes == loaded.body.strokes
    assert load(ReviewState(video=FILM), tmp_path / "a.review").body is None


def test_points_placed_by_hand_count_and_those_that_only_point_do_not() -> None:
    plain, state = body_of(kept()), kept()
    assert plain is not None
    pointed = body_of(replace(state, body_clicks=(replace(CLICK, pointed=True),)))
    assert pointed is plain, "nothing was worked out anew"
    frame, knee = 30, POINTS.index("knee")
    x, y = plain.track.xy_px[frame, knee] + (9.0, -6.0)
    placed = body_of(replace(state, body_clicks=(replace(CLICK, x_px=float(x), y_px=float(y)),)))
    assert placed is not None
    assert placed.track.source[frame, knee] == Source.HAND
    off = np.linalg.norm(placed.track.xy_px[frame, knee] - (x, y))
    assert off < 0.5 * np.hypot(9.0, 6.0)


def test_a_slowed_film_has_its_body_in_seconds_of_the_review() -> None:
    plain, slowed = body_of(kept()), body_of(kept(0.25))
    assert plain is not None and slowed is not None
    assert slowed.track.time_s == pytest.approx(0.25 * plain.track.time_s)
    click = replace(CLICK, video_s=0.25)
    placed = body_of(replace(kept(0.25), body_clicks=(click,)))
    assert placed is not None
    assert placed.track.source[30, POINTS.index("knee")] == Source.HAND


def test_the_body_stays_with_a_submission_until_it_is_forgotten(body: LoadedBody) -> None:
    sent = LoadedSubmission(kept(), Path(), body=body)
    judged = sent.findings
    other = sent.in_state(replace(kept(), title="Anna"))
    assert other.body is body and other.findings is judged
    assert sent.in_state(RemoveBody().apply(kept())).body is None
    assert sent.with_body(None).findings == ()


@given(readings(), st.lists(body_clicks, max_size=3, unique_by=lambda c: c.id), st.floats(0.01, 10))
def test_whatever_a_review_may_keep_gives_a_body_or_one_sentence(
    read: Readings, clicks: list[BodyClick], scale: float
) -> None:
    state = ReviewState(video=FILM, body=BodyOfFilm(read, scale), body_clicks=tuple(clicks))
    check_state(state)
    try:
        body = body_of(state)
    except ReviewError as error:
        assert str(error) == UNUSABLE
    else:
        assert body is not None and len(body.track.time_s) == len(read.observed.time_s)


def test_a_body_that_cannot_be_used_costs_itself_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise IndexError("deep inside")

    monkeypatch.setattr("app.submission.body._body_of", fails)
    loaded = load(kept(), tmp_path / "a.review")
    assert loaded.body is None and UNUSABLE in {remark.said for remark in loaded.remarks}


def test_a_moment_of_the_film_finds_its_stroke_in_the_picture(body: LoadedBody) -> None:
    sent = film_alone(body)
    typical = body.typical
    assert typical is not None and not typical.remark
    assert sent.stroke_at(typical.catch_s + 0.1) == typical
    assert sent.stroke_at(body.strokes[0].catch_s - 0.1) is None
    assert sent.measures_of(typical) == body.measures[body.strokes.index(typical)]
    assert sent.usual_around(typical) == body.usual
    drives = [s.finish_s - s.catch_s for s in body.strokes if not s.remark]
    assert min(drives) < typical.finish_s - typical.catch_s < max(drives)


def test_a_line_up_left_over_moves_no_stroke_of_the_picture(body: LoadedBody) -> None:
    sent = film_alone(body)
    moved = ReviewState(video=FILM, alignment=Alignment(offset_s=5.0, method="hand"))
    late = replace(sent, state=moved)
    at_s = body.strokes[1].catch_s + 0.2
    assert late.stroke_at(at_s) == body.strokes[1]
