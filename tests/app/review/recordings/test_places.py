"""What a stranger's review may make this machine read: nothing outside its own folder."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.review.recordings import (
    STRANGER,
    OtherRecording,
    OutsideRecording,
    OutsideReview,
    RecordingAccess,
    find_again,
    find_other_review,
    locate,
    other_review,
    place_of,
    refer,
)
from app.review.recordings.fingerprint import fingerprint
from app.review.recordings.trust import FILE, chosen_place
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef
from app.submission.looking import find_recording
from app.submission.resolving import resolve
from tests.helpers.reviews import write_review

posix = pytest.mark.skipif(os.name != "posix", reason="needs pipes and links")
STROKE = StrokeRef("", 0.0, 1.0, 2.0)


@pytest.fixture
def private(tmp_path: Path) -> Path:
    """Make a film of another athlete, elsewhere on the machine."""
    film = tmp_path / "private" / "jane.mp4"
    film.parent.mkdir()
    film.write_bytes(b"the film of another athlete")
    return film


@pytest.fixture
def review(tmp_path: Path) -> Path:
    """Make the folder of a stranger's review."""
    (tmp_path / "stranger").mkdir()
    return tmp_path / "stranger" / "a.review"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return tmp_path / "data"


def naming(film: Path, stored: str) -> MediaRef:
    """Refer to a film by exactly its content: still nobody chose it."""
    found = fingerprint(film)
    return MediaRef("video", stored, found.size, found.sha256)


@pytest.mark.parametrize("how", ["absolute", "up", "up within", "backslashes"])
def test_a_path_that_leads_out_is_not_followed(private: Path, review: Path, how: str) -> None:
    stored = {
        "absolute": private.as_posix(),
        "up": "../private/jane.mp4",
        "up within": "in/../../private/jane.mp4",
        "backslashes": "..\\private\\jane.mp4",
    }[how]
    place = place_of(naming(private, stored), review)
    assert place.path is None
    assert place.outside == private
    with pytest.raises(OutsideRecording, match=r"outside the review's folder.*Use it"):
        find_recording(naming(private, stored), review)


@posix
def test_a_link_that_leads_out_is_not_followed(private: Path, review: Path) -> None:
    (review.parent / "film.mp4").symlink_to(private)
    (review.parent / "in").symlink_to(private.parent)
    for stored in ("film.mp4", "in/jane.mp4"):
        assert place_of(naming(private, stored), review).path is None
        with pytest.raises(OutsideRecording):
            find_recording(naming(private, stored), review)
    assert find_again(naming(private, "film.mp4"), review.parent) is None, "nor when searching"


@posix
def test_links_within_the_folder_and_to_the_folder_are_fine(review: Path, tmp_path: Path) -> None:
    film = review.parent / "films" / "a.mp4"
    film.parent.mkdir()
    film.write_bytes(b"film")
    (review.parent / "film.mp4").symlink_to(film)
    assert locate(naming(film, "film.mp4"), review) == film
    (tmp_path / "way").symlink_to(review.parent)
    assert locate(naming(film, "films/a.mp4"), tmp_path / "way" / "a.review") == film
    whole = (tmp_path / "way" / "films" / "a.mp4").as_posix()
    assert locate(naming(film, whole), tmp_path / "way" / "a.review") == film


@posix
def test_pipes_devices_and_circles_are_no_recordings(review: Path) -> None:
    os.mkfifo(review.parent / "pipe.mp4")
    (review.parent / "zero.mp4").symlink_to("/dev/zero")
    (review.parent / "circle.mp4").symlink_to("circle.mp4")
    for name in ("pipe.mp4", "zero.mp4", "circle.mp4", "/dev/zero", "."):
        ref = MediaRef("video", name, 5, "a" * 64)
        assert place_of(ref, review).path is None
        assert locate(ref, review, RecordingAccess(stored_places=True)) is None
    for path in (review.parent / "pipe.mp4", Path("/dev/zero")):
        with pytest.raises(ReviewError, match="pipe or a device"):
            refer(path, "video", review)


@pytest.mark.parametrize("stored", ["a\0b", "x" * 300, "C:/films/a.mp4", "//server/films/a.mp4"])
def test_a_path_of_no_file_here_is_missing(review: Path, stored: str) -> None:
    ref = MediaRef("video", stored, 5, "a" * 64)
    assert place_of(ref, review) == place_of(replace(ref, path="gone.mp4"), review)
    with pytest.raises(ReviewError, match="not where it was"):
        find_recording(ref, review)


def test_what_the_coach_chose_is_used_and_for_that_review_alone(
    private: Path, review: Path, data: Path
) -> None:
    ref = naming(private, "../private/jane.mp4")
    RecordingAccess(data).chose(review, ref, private)
    again = RecordingAccess(data)
    assert locate(ref, review, again) == private
    assert locate(ref, review.with_name("b.review"), again) is None
    assert locate(replace(ref, sha256="b" * 64), review, again) is None
    assert locate(ref, review, STRANGER) is None


@pytest.mark.parametrize("content", ["", "[1", "[]", '{"recordings": 5}', "\0", "[" * 100_000])
def test_a_damaged_memory_asks_again(private: Path, review: Path, data: Path, content: str) -> None:
    ref = naming(private, "../private/jane.mp4")
    data.mkdir()
    (data / FILE).write_text(content)
    assert place_of(ref, review, RecordingAccess(data)).outside == private
    RecordingAccess(data).allow(review, ref, private)
    assert chosen_place(data, review, ref) == private


def test_named_for_this_run(private: Path, review: Path) -> None:
    ref = naming(private, "../private/jane.mp4")
    assert locate(ref, review, STRANGER.naming(private)) == private
    assert locate(ref, review, STRANGER.naming(review)) is None


def test_a_folder_moved_as_a_whole_needs_no_word(review: Path, tmp_path: Path) -> None:
    film = review.parent / "in" / "film.mp4"
    film.parent.mkdir()
    film.write_bytes(b"film")
    ref = refer(film, "video", review)
    RecordingAccess(tmp_path / "data").chose(review, ref, film)
    review.parent.rename(tmp_path / "moved")
    moved = tmp_path / "moved" / "a.review"
    for access in (STRANGER, RecordingAccess(tmp_path / "data")):
        assert locate(ref, moved, access) == tmp_path / "moved" / "in" / "film.mp4"


def test_of_two_places_the_right_content_is_taken(private: Path, review: Path, data: Path) -> None:
    beside = review.parent / "jane.mp4"
    beside.write_bytes(private.read_bytes() + b"!")
    ref = naming(private, "jane.mp4")
    assert locate(ref, review) == beside, "the coach is told that it is another one"
    RecordingAccess(data).allow(review, ref, private)
    assert locate(ref, review, RecordingAccess(data)) == private


def test_another_film_under_the_old_name_is_not_resolved(review: Path) -> None:
    film = review.parent / "film.mp4"
    film.write_bytes(b"this week")
    ref = refer(film, "video", review)
    film.write_bytes(b"next week")
    state = ReviewState(video=ref)
    with pytest.raises(OtherRecording, match=r"film.mp4 is another recording .* kept"):
        resolve(STROKE, state, review, None)
    meant = RecordingAccess(other_recording=True)
    assert resolve(STROKE, state, review, None, access=meant).video == film
    (review.parent / "renamed.mp4").write_bytes(b"this week")
    assert resolve(STROKE, state, review, None).video == review.parent / "renamed.mp4"


def test_a_private_review_is_not_read_for_a_comparison(
    private: Path, review: Path, data: Path
) -> None:
    other = private.with_name("jane.review")
    write_review(other, ReviewState(video=refer(private, "video", other)))
    stroke = replace(STROKE, source=other_review(other, review))
    for source in (stroke.source, other.as_posix(), "..\\private\\jane.review"):
        with pytest.raises(OutsideReview, match="outside this review's folder"):
            resolve(replace(stroke, source=source), ReviewState(), review, None)
    RecordingAccess(data).allow_review(review, other)
    found = resolve(stroke, ReviewState(), review, None, access=RecordingAccess(data))
    assert found.video == private
    with pytest.raises(OutsideReview):
        find_other_review(stroke.source, review.with_name("b.review"), RecordingAccess(data))


@posix
def test_a_link_to_a_private_review_is_not_read(private: Path, review: Path) -> None:
    other = private.with_name("jane.review")
    write_review(other, ReviewState(video=refer(private, "video", other)))
    (review.parent / "b.review").symlink_to(other)
    with pytest.raises(OutsideReview):
        resolve(replace(STROKE, source="b.review"), ReviewState(), review, None)


def test_a_review_within_cannot_reach_out_in_its_place(private: Path, review: Path) -> None:
    within = review.with_name("b.review")
    write_review(within, ReviewState(video=naming(private, private.as_posix())))
    with pytest.raises(OutsideRecording):
        resolve(replace(STROKE, source="b.review"), ReviewState(), review, None)
