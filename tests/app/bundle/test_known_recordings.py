"""What is sent is made of the recordings that were reviewed, from where somebody chose."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from app.bundle.build import build
from app.bundle.options import WriteOptions
from app.bundle.sources.recordings import gather
from app.bundle.walkthrough.walkthrough_render import WalkJob, render_walk
from app.bundle.wording.errors import BundleCancelled
from app.bundle.wording.words import ENGLISH
from app.bundle.write import write_bundle
from app.review.parts.comparisons import new_comparison
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import Moved
from app.review.parts.walkthroughs import new_walkthrough
from app.review.recordings import OtherRecording, RecordingAccess
from app.review.values.stroke_ref import StrokeRef
from tests.helpers.reviews import write_review

NOW = StrokeRef("", 0.6, 1.4, 2.6, "now")
MEANT = RecordingAccess(other_recording=True)


@pytest.fixture
def place(desk: Path, tmp_path: Path) -> Path:
    """Make a folder of one's own with the recordings of the review; gives its review's path."""
    folder = tmp_path / "own"
    folder.mkdir()
    for file in desk.glob("*-of-jane.*"):
        shutil.copyfile(file, folder / file.name)
    return folder / "autumn.review"


def change_one_byte(path: Path, at: int) -> None:
    content = bytearray(path.read_bytes())
    content[at] ^= 1
    path.write_bytes(bytes(content))


@pytest.mark.parametrize("name", ["film-of-jane.mp4", "force-of-jane.csv"])
@pytest.mark.parametrize("same_size", [True, False])
def test_another_recording_is_never_sent(
    review: ReviewState, place: Path, tmp_path: Path, name: str, same_size: bool
) -> None:
    file = place.with_name(name)
    if same_size:
        change_one_byte(file, file.stat().st_size // 2)
    else:
        file.write_bytes(file.read_bytes() + b"\n")
    out = tmp_path / "out"
    with pytest.raises(OtherRecording, match=f"{name} is another recording"):
        write_bundle(review, place, out)
    assert not out.exists()
    sources = gather(review, place, MEANT)
    assert len([r for r in sources.remarks(ENGLISH) if "is another one" in r]) == 1


def test_another_film_is_never_painted_in_a_walkthrough(
    review: ReviewState, place: Path, tmp_path: Path
) -> None:
    change_one_byte(place.with_name("film-of-jane.mp4"), 40)
    walk = new_walkthrough((Moved(0.0, 1.0),), 1.0)
    with pytest.raises(OtherRecording):
        render_walk(walk, WalkJob(review, place), tmp_path / "out.mp4")
    assert not (tmp_path / "out.mp4").exists()


@pytest.mark.parametrize("how", ["absolute", "up", "link"])
def test_a_film_of_somebody_else_is_not_taken_along(
    review: ReviewState, desk: Path, place: Path, how: str
) -> None:
    assert review.video is not None
    for file in place.parent.iterdir():
        file.unlink()
    stored = desk / "film-of-jane.mp4"
    if how == "link":
        (place.parent / "film.mp4").symlink_to(stored)
    paths = {
        "absolute": stored.as_posix(),
        "up": Path("..", *[".."] * len(place.parts), *stored.parts[1:]).as_posix(),
        "link": "film.mp4",
    }
    state = replace(review, video=replace(review.video, path=paths[how]), trace=None)
    assert gather(state, place).video is None
    assert ENGLISH["missing_video"] in gather(state, place).remarks(ENGLISH)
    named = RecordingAccess().naming(stored)
    assert gather(state, place, named).video == stored.resolve()


def test_a_private_review_is_not_taken_along_in_a_comparison(
    review: ReviewState, desk: Path, place: Path, tmp_path: Path
) -> None:
    private = desk / "private.review"
    if not private.exists():
        write_review(private, review)
    there = replace(NOW, source=private.as_posix(), label="then")
    state = replace(
        review, notes=(), target=None, comparisons=(new_comparison(NOW, there, title="Two"),)
    )
    out = write_bundle(state, place, tmp_path / "out").path
    assert not list((out / "clips").glob("*")) if (out / "clips").exists() else True
    assert ENGLISH["compare_missing"].format(number=1) in (out / "index.html").read_text("utf-8")
    assert desk.parent.name not in (out / "index.html").read_text("utf-8")
    private.unlink()


def test_stopping_while_a_film_is_compared(
    review: ReviewState, place: Path, tmp_path: Path
) -> None:
    asked = 0

    def cancelled() -> bool:
        nonlocal asked
        asked += 1
        return asked > 1  # the first step goes on, the reading does not

    (tmp_path / "shop").mkdir()
    with pytest.raises(BundleCancelled):
        build(review, place, tmp_path / "shop", WriteOptions(), cancelled=cancelled)
