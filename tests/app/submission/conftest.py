"""A film of nine seconds, a force recording of five strokes with faults, and a review of both."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from analysis.clocks.alignment import Alignment
from app.files.user_folders import wording_path
from app.media.encode import ClipWriter
from app.review.file.store import create_file
from app.review.parts.films import new_film
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingAccess, refer
from app.submission.archive import archive_review
from tests.app.bundle.sources.test_kept import giving_force
from tests.helpers.clips import numbered

FPS, FILM_S, OFFSET_S = 20, 14.0, 3.0
OWN_TITLE = "In my own words: it gives"


@dataclass(frozen=True)
class Sent:
    """What an athlete sent, and a review of it that is not written yet."""

    film: Path
    force: Path
    review: Path
    state: ReviewState


@pytest.fixture(scope="session")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("recorded")
    with ClipWriter(folder / "film.mp4", 320, 180) as film:
        for i in range(int(FILM_S * FPS)):
            film.add(numbered(i), i / FPS)
        film.finish(FILM_S)
    (folder / "force.csv").write_text(giving_force(), "utf-8")
    return folder


@pytest.fixture
def sent(recorded: Path, tmp_path: Path) -> Sent:
    for name in ("film.mp4", "force.csv"):
        shutil.copyfile(recorded / name, tmp_path / name)
    film, force, review = (tmp_path / n for n in ("film.mp4", "force.csv", "a.review"))
    state = ReviewState(
        title="Autumn",
        video=refer(film, "video", review),
        trace=refer(force, "trace", review),
        alignment=Alignment(OFFSET_S, 0.0, 0.01, "by hand"),
        notes=(Note("own", 7.0, "Sit up."),),
    )
    return Sent(film, force, review, state)


def write_own_wording() -> None:
    """Lay a coach's own wording where the window and the commands look for it."""
    place = wording_path()
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text(f'[give]\ntitle = "{OWN_TITLE}"\n', "utf-8")


@pytest.fixture(scope="module")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder "work" with a review whose recordings lie in others, and its archive beside it."""
    folder = tmp_path_factory.mktemp("archived")
    for name, data in (
        ("work/a/Side.MP4", b"film" * 5000),
        ("work/b/side.mp4", b"other" * 3000),  # two of them under one name
        ("work/force.csv", b"time_s,force_N\n0,1\n"),
    ):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    review = folder / "work" / "Maren May.review"
    state = ReviewState(
        athlete="Maren",
        video=refer(folder / "work/a/Side.MP4", "video", review),
        trace=refer(folder / "work/force.csv", "trace", review),
        films=(new_film(refer(folder / "work/b/side.mp4", "video", review), 60.0),),
    )
    create_file(review, state)
    archive_review(review, folder / "Maren.zip", RecordingAccess(None))
    return folder


@pytest.fixture
def here(made_once: Path, tmp_path: Path) -> Path:
    """The review, in a folder of its own."""
    return shutil.copytree(made_once / "work", tmp_path / "work") / "Maren May.review"


@pytest.fixture
def packed(made_once: Path, tmp_path: Path) -> Path:
    return shutil.copyfile(made_once / "Maren.zip", tmp_path / "Maren.zip")


@pytest.fixture
def elsewhere(tmp_path: Path) -> Path:
    folder = tmp_path / "another machine"
    folder.mkdir()
    return folder
