"""A piece in several films: what the athlete gets shows the film that was running."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from app.bundle.write import BundleResult, write_bundle
from app.media.encode import ClipWriter
from app.media.opencv import opencv
from app.media.video import VideoFile
from app.review.parts.films import AddFilms, new_film
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from tests.app.bundle.conftest import FPS
from tests.helpers.clips import number_in, numbered

BEGINS, COUNT = 200, 60  # a second after the first film ends, three seconds long


@pytest.fixture(scope="module")
def cut(
    desk: Path, review: ReviewState, tmp_path_factory: pytest.TempPathFactory
) -> tuple[ReviewState, Path]:
    """A review in a folder of its own, with a second film that begins where frame 200 would be."""
    folder = tmp_path_factory.mktemp("cut")
    place = folder / "autumn.review"
    first = folder / "film.mp4"
    first.write_bytes((desk / "film-of-jane.mp4").read_bytes())
    with ClipWriter(folder / "second.mp4", 320, 180) as film:
        for i in range(COUNT):
            film.add(numbered(BEGINS + i), i / FPS)
        film.finish(COUNT / FPS)
    notes = tuple(
        Note(name, number / FPS, "Look.")
        for name, number in (("a", 30), ("b", 220), ("c", 190), ("d", 178))
    )
    begun = replace(review, video=refer(first, "video", place), trace=None, notes=notes)
    ref = refer(folder / "second.mp4", "video", place)
    return AddFilms((new_film(ref, BEGINS / FPS, 0.01, "force"),)).apply(begun), place


@pytest.fixture(scope="module")
def sent(cut: tuple[ReviewState, Path], tmp_path_factory: pytest.TempPathFactory) -> BundleResult:
    out = tmp_path_factory.mktemp("sent") / "feedback"
    return write_bundle(*cut, out)


def still_number(sent: BundleResult, name: str) -> int:
    return number_in(opencv().imread(str(sent.path / "stills" / name)))


def test_stills_and_clips_are_of_the_film_that_shows_the_moment(sent: BundleResult) -> None:
    stills = sorted(name for name in sent.files if name.startswith("stills/"))
    assert len(stills) == 3, "a note in the gap has no picture"
    numbers = {still_number(sent, Path(name).name) for name in stills}
    assert numbers == {30, 178, 220}
    clips = sorted(name for name in sent.files if name.startswith("clips/"))
    shown = set()
    for name in clips:
        with VideoFile.open(sent.path / name) as clip:
            shown |= {number_in(clip.frame_rgb(i)) for i in range(len(clip.index))}
    assert set(range(12, 48)) | set(range(205, 238)) <= shown
    assert not shown & set(range(181, 199)), "nobody filmed that"


def test_without_the_second_film_its_moments_are_not_shown_by_another(
    cut: tuple[ReviewState, Path], tmp_path: Path
) -> None:
    state, place = cut
    second = place.with_name("second.mp4")
    second.rename(second.with_name("away"))
    try:
        result = write_bundle(state, place, tmp_path / "feedback")
    finally:
        second.with_name("away").rename(second)
    stills = [name for name in result.files if name.startswith("stills/")]
    assert {still_number(result, Path(name).name) for name in stills} == {30, 178}
    assert result.remarks
