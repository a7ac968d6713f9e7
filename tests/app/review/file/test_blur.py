"""Regions that hide faces: places, growth where nobody followed, changes and their undo."""

from __future__ import annotations

import hashlib
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.review.file.store import read_review
from app.review.parts.blur import (
    HELD_S,
    BlurKey,
    BlurRegion,
    gaps,
    hand_key,
    new_region,
    region_at,
    thinned_keys,
    unsure_spans,
)
from app.review.parts.blurs import AddBlur, FollowBlur, PlaceBlur, RemoveBlur, SpanBlur
from app.review.parts.media import MediaRef, SetCaptureRate, SetVideo
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.safety import blur_reminders, safety_reminders
from app.review.values.errors import ReviewError

FILM = MediaRef("video", "film.mp4", 10, "a" * 64)


def followed_keys(*times: float, w: float = 20.0) -> tuple[BlurKey, ...]:
    return tuple(BlurKey(t, 100 + 10 * t, 50.0, w, w, False) for t in times)


def test_between_places_it_goes_straight_and_far_from_them_it_grows() -> None:
    keys = (hand_key(1.0, 100, 50, 20, 30), hand_key(1.8, 180, 90, 20, 30))
    region = BlurRegion("r", keys)
    half = region_at(region, 1.4)
    assert half is not None and (half.x_px, half.y_px, half.w_px) == (140, 70, 20)
    later = region_at(region, 1.8 + HELD_S)
    assert later is not None and later.w_px == pytest.approx(20)
    far = region_at(region, 4.0)
    assert far is not None and far.w_px > 20 + 6 * 30, "a face nobody followed stays hidden"


def test_outside_its_span_it_hides_nothing() -> None:
    region = replace(new_region(1.0, 100, 50, 20, 30), start_s=0.5, end_s=2.0)
    assert region_at(region, 0.4) is None and region_at(region, 2.1) is None
    assert region_at(region, 0.5) is not None and region_at(region, 2.0) is not None


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0, 500), st.floats(10, 60)), min_size=3, max_size=80))
def test_thinned_places_cover_what_was_followed(walk: list[tuple[float, float]]) -> None:
    keys = [BlurKey(i / 30, x, 50.0, w, w, False) for i, (x, w) in enumerate(walk)]
    region = BlurRegion("r", thinned_keys(keys))
    for key in keys:
        there = region_at(region, key.video_s)
        assert there is not None
        assert abs(there.x_px - key.x_px) <= 0.041 * key.w_px
        assert there.w_px >= 0.959 * key.w_px
    steps = [
        b.video_s - a.video_s for a, b in zip(region.keyframes, region.keyframes[1:], strict=False)
    ]
    assert max(steps, default=0) <= HELD_S + 1 / 30


def test_a_still_face_needs_few_places() -> None:
    keys = [BlurKey(i / 30, 100.0, 50.0, 20.0, 20.0, False) for i in range(300)]
    assert len(thinned_keys(keys)) < 30


def test_unsure_frames_make_spans() -> None:
    assert unsure_spans([(0.0, 0.1), (0.1, 0.2), (0.4, 0.5), (2.0, 2.1)]) == (
        (0.0, 0.5),
        (2.0, 2.1),
    )


def test_a_correction_forgets_what_was_followed_around_it_only() -> None:
    region = new_region(1.0, 110, 50, 20, 20)
    state = FollowBlur(
        region.id, region.by_hand, followed_keys(0.0, 0.5, 1.5, 2.0, 2.5, 3.0), ((2.2, 2.4),)
    ).apply(ReviewState(video=FILM, blurs=(region,)))
    state = PlaceBlur(region.id, hand_key(2.0, 150, 60, 25, 25)).apply(state)
    (now,) = state.blurs
    assert [k.video_s for k in now.keyframes] == [0.0, 0.5, 1.0, 2.0]
    assert now.unsure == ()
    assert gaps(now, 3.0) == ((1.0, 2.0), (2.0, 3.0))


def test_following_that_comes_too_late_changes_nothing() -> None:
    region = new_region(1.0, 110, 50, 20, 20)
    state = ReviewState(video=FILM, blurs=(region,))
    moved = PlaceBlur(region.id, hand_key(1.0, 90, 40, 20, 20)).apply(state)
    late = FollowBlur(region.id, region.by_hand, followed_keys(0.0, 2.0))
    assert late.apply(moved) == moved
    with pytest.raises(ReviewError, match="no longer in the review"):
        late.apply(ReviewState())


def test_marking_and_following_are_one_step_to_undo_and_are_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    review = Review.create(path, ReviewState(video=FILM))
    region = new_region(1.0, 110, 50, 20, 20)
    review.do(AddBlur(region))
    review.do(FollowBlur(region.id, region.by_hand, followed_keys(0.0, 2.0), ((1.2, 1.4),)))
    with_blur = review.state
    assert read_review(path) == with_blur and len(with_blur.blurs[0].keyframes) == 3
    review.undo()
    assert review.state.blurs == () and read_review(path).blurs == ()
    review.redo()
    assert review.state == with_blur
    review.do(SpanBlur(region.id, 0.5, 1.5))
    review.do(RemoveBlur(region.id))
    assert review.state.blurs == ()
    review.undo()
    review.undo()
    assert review.state == with_blur
    for x in (1.0, 2.0, 3.0):
        review.do(PlaceBlur(region.id, hand_key(1.5, x, 5, 9, 9), "drag 1"))
    review.undo()
    assert review.state == with_blur, "a drag is one step"


def test_a_clock_told_anew_takes_the_places_with_it_and_another_film_forgets_them() -> None:
    region = replace(new_region(1.0, 110, 50, 20, 20), start_s=0.5, end_s=2.0, unsure=((1.0, 1.5),))
    state = ReviewState(video=FILM, blurs=(region,))
    slow = SetCaptureRate(240.0, 0.5).apply(state).blurs[0]
    assert (slow.keyframes[0].video_s, slow.start_s, slow.end_s) == (0.5, 0.25, 1.0)
    assert slow.unsure == ((0.5, 0.75),)
    assert SetVideo(replace(FILM, path="elsewhere.mp4")).apply(state).blurs == (region,)
    assert SetVideo(replace(FILM, sha256="b" * 64)).apply(state).blurs == ()


def test_the_coach_is_reminded_in_plain_words() -> None:
    state = ReviewState(video=FILM)
    assert safety_reminders(state, consent=True, minor=False) == ()
    assert "local safeguarding rules" in " ".join(safety_reminders(state, consent=True, minor=True))
    assert "do not send" in safety_reminders(state, consent=False, minor=False)[0]
    assert "Nobody noted" in safety_reminders(state, consent=None, minor=False)[0]
    assert safety_reminders(ReviewState(), consent=None, minor=True) == (), "nobody is shown"
    region = BlurRegion("r", (hand_key(0, 1, 1, 9, 9), *followed_keys(0.4)), unsure=((63.2, 64.0),))
    said = safety_reminders(replace(state, blurs=(region,)), consent=True, minor=True)
    assert "no face is blurred" not in " ".join(said)
    assert "1:03.2 to 1:04.0" in said[-1]
    whole = safety_reminders(
        replace(state, blurs=(region,)), consent=True, minor=False, originals=True
    )
    assert "shows the face" in whole[0]
    alone = replace(state, blurs=(new_region(1.0, 1, 1, 9, 9),))
    assert "not followed" in blur_reminders(alone)[0]


def test_places_are_written_once_however_often_other_things_change(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    one, other = new_region(1.0, 1, 1, 9, 9), new_region(2.0, 5, 5, 9, 9)
    review = Review.create(path, ReviewState(video=FILM, blurs=(one, other)))
    before = assets_of(path)
    assert len(before) == 2
    review.do(SpanBlur(one.id, 0.5, 3.0))
    assert assets_of(path) == before, "a span moves no place"
    review.do(PlaceBlur(one.id, hand_key(4.0, 2, 2, 9, 9)))
    assert len(assets_of(path) - before) == 1
    assert read_review(path) == review.state
    review.do(RemoveBlur(one.id))
    assert read_review(path).blurs == (other,)
    review.undo()
    assert read_review(path) == review.state
    assert review.close()
    named = {hashlib.sha256(data).hexdigest() for data in bytes_of(path)}
    assert {id_ for id_, _rowid in assets_of(path)} == named, "known by what they hold"


def assets_of(path: Path) -> set[tuple[str, int]]:
    with closing(sqlite3.connect(path)) as db:
        return set(db.execute("SELECT id, rowid FROM asset"))


def bytes_of(path: Path) -> list[bytes]:
    with closing(sqlite3.connect(path)) as db:
        return [data for (data,) in db.execute("SELECT data FROM asset")]


def rows_that_name(path: Path, data: bytes, count: int) -> None:
    """A review in which so many faces have the same places."""
    Review.create(path, ReviewState()).close()
    digest = hashlib.sha256(data).hexdigest()
    with closing(sqlite3.connect(path)) as connection:
        row = (digest, digest, len(data), data)
        connection.execute("INSERT INTO asset VALUES (?, ?, ?, ?)", row)
        faces = ((f"{i}", i, None, None, digest) for i in range(count))
        connection.executemany("INSERT INTO blur_region VALUES (?, ?, ?, ?, ?)", faces)
        connection.commit()


def test_a_small_track_named_by_many_faces_is_not_read_for_ever(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.review"
    rows_that_name(path, b"[1,1,1,9,9,1]\n[2,1,1,9,9,1]\n", 10)
    assert len(read_review(path).blurs) == 10
    monkeypatch.setattr("app.review.values.part.MOST_LINES", 29)
    with pytest.raises(ReviewError, match="more places of a blurred face than any review"):
        read_review(path)


def test_a_track_without_end_is_not_brought_into_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.review"
    rows_that_name(path, b"[1,1,1,9,9,1]\n", 2)
    monkeypatch.setattr("app.review.file.reading._MOST_TRACK_BYTES", 28)
    assert len(read_review(path).blurs) == 2
    monkeypatch.setattr("app.review.file.reading._MOST_TRACK_BYTES", 27)
    with pytest.raises(ReviewError, match="longer than any review's"):
        read_review(path)


def test_more_places_than_can_be_read_again_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.review.parts.blurs.MOST_LINES_OF_PART", 3)
    review = Review.create(tmp_path / "a.review", ReviewState(video=FILM))
    region = new_region(1.0, 100, 50, 20, 30)
    review.do(AddBlur(region))
    with pytest.raises(ReviewError, match="more places than a review can keep"):
        review.do(FollowBlur(region.id, region.by_hand, followed_keys(1.1, 1.2, 1.3)))
    assert review.state.blurs == (region,)
