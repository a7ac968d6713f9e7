"""The body in a review: kept, taken back, merged, retimed, and refused where it is hostile."""

from __future__ import annotations

import json
import sqlite3
import zlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given

from analysis.body.following.observed import Observed
from app.review.file.recover import recover
from app.review.file.store import create_file, read_review
from app.review.parts.body import (
    BodyClick,
    BodyOfFilm,
    MoveClick,
    PlaceClick,
    RemoveBody,
    RemoveClick,
    SetBody,
    SetStature,
    new_click,
)
from app.review.parts.body_readings import MOST_FRAMES, Readings, readings_of
from app.review.parts.media import MediaRef, SetCaptureRate, SetVideo
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError
from tests.helpers.followed import followed_as, track_of
from tests.helpers.rowed import rowed
from tests.helpers.states import readings

FILM = MediaRef("video", "film.mp4", 1, "00")
KNEE = BodyClick("a", 1.5, "knee", 300.0, 200.5)


def followed() -> Observed:
    return followed_as(track_of(rowed(strokes=3), 0.003, shake=1.0)).observed


def opened(folder: Path) -> Review:
    path = folder / "a.review"
    create_file(path, ReviewState(video=FILM, draft=True))
    return Review.open(path)


def test_what_was_followed_comes_back_to_a_sixteenth_of_a_pixel(tmp_path: Path) -> None:
    seen = followed()
    review = opened(tmp_path)
    review.do(SetBody(readings_of(seen), 0.25, (replace(KNEE, id="b", pointed=True),)))
    assert review.state.draft, "following is no judgement of a coach's"
    review.do(SetStature(1.84))
    review.do(PlaceClick(KNEE))
    assert not review.state.draft
    assert review.close()
    back = read_review(review.path)
    assert back.body == review.state.body and back.body_clicks == review.state.body_clicks
    assert back.body.readings is not None
    observed = back.body.readings.observed
    assert np.nanmax(np.abs(observed.xy_px - seen.xy_px)) <= 1.0 / 32.0 + 1e-9
    assert np.allclose(observed.sd_px, seen.sd_px, rtol=1e-3)
    assert np.array_equal(observed.time_s, seen.time_s)
    assert np.array_equal(observed.source, seen.source)
    assert np.allclose(observed.phase, seen.phase, equal_nan=True, atol=1e-5)


@given(readings())
def test_readings_of_any_kind_come_back_as_they_were(made: Readings) -> None:
    again = readings_of(Readings(made.data).observed)
    assert again == made and hash(again) == hash(made)
    assert again.data == made.data


def test_points_are_placed_moved_removed_and_taken_back(tmp_path: Path) -> None:
    review = opened(tmp_path)
    review.do(SetBody(readings_of(followed())))
    review.do(PlaceClick(KNEE))
    review.do(PlaceClick(replace(KNEE, id="c", x_px=310.0)))
    assert [c.id for c in review.state.body_clicks] == ["c"], "one knee a frame"
    review.do(PlaceClick(replace(KNEE, id="d", video_s=2.0)))
    review.do(MoveClick("c", 311.0, 201.0, "drag"))
    review.do(MoveClick("c", 312.0, 202.0, "drag"))
    assert review.state.body_clicks[0].x_px == 312.0
    review.undo()
    assert review.state.body_clicks[0].x_px == 310.0, "one drag is one step"
    review.do(RemoveClick("c"))
    with pytest.raises(ReviewError, match="no longer"):
        review.do(MoveClick("c", 1.0, 1.0))
    review.do(SetStature(1.9))
    review.do(RemoveBody())
    assert review.state.body == BodyOfFilm(stature_m=1.9) and not review.state.body_clicks
    review.undo()
    assert review.state.body.readings is not None and len(review.state.body_clicks) == 1
    assert review.close()


def test_undo_after_closing_still_has_the_readings(tmp_path: Path) -> None:
    review = opened(tmp_path)
    review.do(SetBody(readings_of(followed())))
    review.do(RemoveBody())
    assert review.close()
    again = Review.open(review.path)
    again.undo()
    assert again.state.body.readings == readings_of(followed())
    assert again.close()


def test_a_new_capture_rate_takes_clock_and_clicks_along() -> None:
    state = ReviewState(video=FILM, body_clicks=(KNEE,))
    state = SetBody(readings_of(followed())).apply(state)
    state = SetCaptureRate(240.0, 0.125).apply(state)
    assert state.body.time_scale == 0.125
    assert state.body_clicks[0].video_s == 1.5 * 0.125


def test_another_film_has_another_body_and_the_same_film_keeps_it() -> None:
    state = SetBody(readings_of(followed())).apply(ReviewState(video=FILM, body_clicks=(KNEE,)))
    moved = SetVideo(replace(FILM, path="elsewhere.mp4")).apply(state)
    assert moved.body is state.body and moved.body_clicks == state.body_clicks
    other = SetVideo(replace(FILM, sha256="11")).apply(state)
    assert other.body.readings is None and not other.body_clicks


def test_without_a_film_nothing_is_followed() -> None:
    with pytest.raises(ReviewError, match="no footage"):
        SetBody(readings_of(followed())).apply(ReviewState())


def test_two_windows_may_both_place_points(tmp_path: Path) -> None:
    review = opened(tmp_path)
    other = Review.open(review.path)
    other.do(PlaceClick(KNEE))
    assert other.close()
    review.do(PlaceClick(replace(KNEE, id="b", point="hip")))
    assert {c.id for c in review.state.body_clicks} == {"a", "b"}
    assert review.close()


def bomb() -> bytes:
    """A few bytes that would fill the memory."""
    frames = 1000
    heading = [["time_s", "<f8", [frames]]]
    return json.dumps(heading).encode() + b"\n" + zlib.compress(b"\0" * 50_000_000)


def turned(name: str, kind: str, shape: list[int]) -> bytes:
    """Readings one of whose arrays says to be something else."""
    heading, body = readings_of(followed()).data.split(b"\n", 1)
    told = [[n, kind, shape] if n == name else [n, k, s] for n, k, s in json.loads(heading)]
    return json.dumps(told).encode() + b"\n" + body


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"[]\n",
        b"not json\n" + zlib.compress(b""),
        b"[" * 1999 + b"\n",
        bomb(),
        json.dumps([["xy", "<i2", [MOST_FRAMES, MOST_FRAMES, 2]]]).encode() + b"\n",
        json.dumps([["xy", "|O", [4]]]).encode() + b"\n" + zlib.compress(b"\0" * 32),
        json.dumps([["xy", "<i2", [-1]]]).encode() + b"\n" + zlib.compress(b""),
        readings_of(followed()).data[:-20],
        turned("time_s", "<i2", [1]),
        turned("source", "|u1", [3]),
    ],
)
def test_hostile_readings_are_refused_in_one_sentence(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(ReviewError, match=r"^What was followed of the body .*\.$"):
        create_file(tmp_path / "a.review", ReviewState(body=BodyOfFilm(Readings(data))))


FRAMES = len(followed().time_s)


@pytest.mark.parametrize(
    "strange",
    [
        {"time_s": np.linspace(0.0, 1e300, FRAMES)},
        {"time_s": np.linspace(0.0, 1e-6, FRAMES)},
        {"time_s": np.append(np.arange(FRAMES - 1) / 30.0, 50_000.0)},
        {"phase": np.linspace(0.0, 1e30, FRAMES)},
        {"phase": np.full(FRAMES, np.inf)},
        {"phase": np.linspace(3.0, 0.0, FRAMES)},
        {"steady": np.zeros((FRAMES, 2, 3))},
        {"steady": np.full((FRAMES, 2, 3), 1e30)},
        {"sd_px": np.zeros_like(followed().sd_px)},
    ],
    ids=lambda strange: next(iter(strange)),
)
def test_readings_of_no_film_are_refused_before_anybody_works_on_them(
    tmp_path: Path, strange: dict[str, np.ndarray]
) -> None:
    body = BodyOfFilm(readings_of(replace(followed(), **strange)))
    with pytest.raises(ReviewError, match=r"^What was followed of the body .*\.$"):
        create_file(tmp_path / "a.review", ReviewState(body=body))


@pytest.mark.parametrize(
    "state",
    [
        ReviewState(body=BodyOfFilm(time_scale=0.0)),
        ReviewState(body=BodyOfFilm(time_scale=float("nan"))),
        ReviewState(body=BodyOfFilm(stature_m=18.4)),
        ReviewState(body_clicks=(replace(KNEE, point="tail"),)),
        ReviewState(body_clicks=(replace(KNEE, x_px=float("inf")),)),
        ReviewState(body_clicks=(replace(KNEE, y_px=1e9),)),
        ReviewState(body_clicks=(KNEE, KNEE)),
    ],
)
def test_what_no_body_is_is_refused(tmp_path: Path, state: ReviewState) -> None:
    with pytest.raises(ReviewError):
        create_file(tmp_path / "a.review", state)


def test_a_damaged_film_of_points_costs_itself_alone_in_recovering(tmp_path: Path) -> None:
    review = opened(tmp_path)
    review.do(SetBody(readings_of(followed())))
    review.do(PlaceClick(KNEE))
    assert review.close()
    with sqlite3.connect(review.path) as connection:
        bad = b"[]\nnothing"
        connection.execute("UPDATE asset SET data = ?, size = ?", (bad, len(bad)))
    with pytest.raises(ReviewError):
        read_review(review.path)
    recover(review.path, tmp_path / "b.review")
    back = read_review(tmp_path / "b.review")
    assert back.body.readings is None and back.body_clicks == (KNEE,)


def before_the_body(folder: Path) -> Path:
    """A file as this version made it before it knew of bodies."""
    path = folder / "old.review"
    create_file(path, ReviewState(title="Old", video=FILM))
    with sqlite3.connect(path) as connection:
        connection.execute("DROP TABLE body")
        connection.execute("DROP TABLE body_click")
    return path


def test_a_file_from_before_it_opens_is_saved_and_closed(tmp_path: Path) -> None:
    path = before_the_body(tmp_path)
    review = Review.open(path)
    assert review.state.title == "Old" and review.state.body == BodyOfFilm()
    review.do(SetStature(1.7))
    review.do(PlaceClick(new_click(1.0, "hip", 10.0, 20.0)))
    review.do(SetBody(readings_of(followed())))
    assert review.close()
    back = read_review(path)
    assert back.body == review.state.body and back.body_clicks == review.state.body_clicks


def test_a_file_from_before_it_is_saved_without_one_and_recovered(tmp_path: Path) -> None:
    path = before_the_body(tmp_path)
    review = Review.open(path)
    review.do(SetVideo(replace(FILM, path="moved.mp4")))
    assert review.close()
    assert read_review(path).video == replace(FILM, path="moved.mp4")
    recover(path, tmp_path / "new.review")
    assert read_review(tmp_path / "new.review").title == "Old"
