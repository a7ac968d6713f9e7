"""A second camera: the athlete sees the same moment from both, unless a face would be shown."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from analysis.signals.stroke import Stroke
from app.bundle.notes.second_views import FACES
from app.bundle.pictures.second_film import key_of_views, with_second_view
from app.bundle.pictures.strip import picture_strip
from app.bundle.pictures.strip_axis import drawing_of
from app.bundle.pictures.strip_data import StripWords
from app.bundle.pictures.strips import strip_alt
from app.bundle.sources.film import open_film
from app.bundle.sources.recordings import Sources
from app.bundle.wording.words import ENGLISH
from app.bundle.write import BundleResult, write_bundle
from app.media.encode import ClipWriter
from app.media.opencv import opencv
from app.media.video import VideoFile
from app.review.parts.blur import BlurKey, BlurRegion
from app.review.parts.films import AddFilms, new_film
from app.review.parts.notes import Note
from app.review.parts.picture import PictureTurn
from app.review.parts.sending import SetSending
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.submission.load import load
from tests.app.bundle.conftest import FPS
from tests.helpers.clips import number_in, numbered

# The second camera began at frame 20 of the first; its own frames are counted from 300.
BEGINS, COUNT, FIRST = 20, 80, 300


@pytest.fixture(scope="module")
def two_sides(
    desk: Path, review: ReviewState, tmp_path_factory: pytest.TempPathFactory
) -> tuple[ReviewState, Path]:
    folder = tmp_path_factory.mktemp("sides")
    place = folder / "autumn.review"
    first = folder / "film.mp4"
    first.write_bytes((desk / "film-of-jane.mp4").read_bytes())
    with ClipWriter(folder / "front.mp4", 320, 180) as film:
        for i in range(COUNT):
            film.add(numbered(FIRST + i), i / FPS)
        film.finish(COUNT / FPS)
    notes = (Note("a", 60 / FPS, "Look."), Note("b", 150 / FPS, "Only one camera ran."))
    # The first camera's picture is shown mirrored, and the second one's is not.
    begun = replace(
        review, video=refer(first, "video", place), trace=None, notes=notes,
        turn=PictureTurn(mirrored=True),
    )  # fmt: skip
    ref = refer(folder / "front.mp4", "video", place)
    view = new_film(ref, BEGINS / FPS, 0.026, "picture", "view")
    return AddFilms((view,)).apply(begun), place


@pytest.fixture(scope="module")
def sent(
    two_sides: tuple[ReviewState, Path], tmp_path_factory: pytest.TempPathFactory
) -> BundleResult:
    return write_bundle(*two_sides, tmp_path_factory.mktemp("sent") / "feedback")


def test_still_and_clip_of_both_cameras_show_one_moment(sent: BundleResult) -> None:
    still = opencv().imread(str(sent.path / "stills" / "note-01-view.jpg"))
    assert number_in(still) == FIRST + 60 - BEGINS
    with VideoFile.open(sent.path / "clips" / "note-01-view.mp4") as clip:
        shown = [number_in(clip.frame_rgb(i)) for i in range(len(clip.index))]
    around = round(FPS)  # a second before and after, as of the first camera
    assert shown[0] == FIRST + 60 - around - BEGINS
    assert shown[-1] in (FIRST + 60 + around - BEGINS - 1, FIRST + 60 + around - BEGINS)


def test_the_page_says_what_it_is_and_how_near(sent: BundleResult) -> None:
    page = (sent.path / "index.html").read_text("utf-8")
    assert page.count('class="second-view"') == 1
    assert "from the second camera, within 26\u00a0ms" in page
    first, second = json.loads((sent.path / "review.json").read_text("utf-8"))["notes"]
    assert (first["view_still"], first["view_within_s"]) == ("stills/note-01-view.jpg", 0.026)
    assert "view_still" not in second, "that camera had stopped"
    assert not any("note-02-view" in name for name in sent.files)


def test_where_a_face_is_hidden_the_other_camera_is_not_sent(
    two_sides: tuple[ReviewState, Path], tmp_path: Path
) -> None:
    state, place = two_sides
    face = BlurRegion("f", (BlurKey(0.0, 60.0, 40.0, 30.0, 30.0, True),))
    result = write_bundle(replace(state, blurs=(face,)), place, tmp_path / "feedback")
    assert not any("-view." in name for name in result.files)
    assert FACES in result.hints and FACES not in result.remarks


def test_without_the_tick_the_other_camera_stays_here(
    two_sides: tuple[ReviewState, Path], sent: BundleResult, tmp_path: Path
) -> None:
    state, place = two_sides
    alone = SetSending(second_view=False).apply(state)
    result = write_bundle(alone, place, tmp_path / "feedback")
    assert any("-view." in name for name in sent.files)
    assert not any("-view." in name for name in result.files)
    assert FACES not in result.hints, "what nobody wanted to send is not missed"


def test_the_strip_shows_both_cameras_at_the_same_places(
    two_sides: tuple[ReviewState, Path],
) -> None:
    state, place = two_sides
    sources = Sources(load(state, place))
    stroke = Stroke(0, 45 / FPS, 70 / FPS, 95 / FPS, source="body")
    with open_film(sources.reel, state) as film:
        strip = picture_strip(film, stroke, StripWords(), state)
    both = with_second_view(strip, stroke, sources.submission, state, ENGLISH)
    assert [f.place for f in both.second] == [f.place for f in both.frames]
    for own, other in zip(both.frames, both.second, strict=True):
        assert other.video_s == pytest.approx(own.video_s, abs=0.5 / FPS)
    assert "second camera, within 26 ms" in both.second_words
    assert drawing_of(both, 840.0).height > drawing_of(strip, 840.0).height + 50.0
    assert both.second_words in strip_alt(both, stroke, ENGLISH)
    # Where that camera did not run, or the coach or a hidden face keeps it here, there is none.
    late = Stroke(1, 120 / FPS, 140 / FPS, 160 / FPS, source="body")
    assert with_second_view(strip, late, sources.submission, state, ENGLISH) is strip
    alone = SetSending(second_view=False).apply(state)
    face = BlurRegion("f", (BlurKey(0.0, 60.0, 40.0, 30.0, 30.0, True),))
    for kept in (alone, replace(state, blurs=(face,))):
        assert with_second_view(strip, stroke, sources.submission, kept, ENGLISH) is strip
        assert key_of_views(sources.submission, kept) == {}
    assert key_of_views(sources.submission, state) != {}
