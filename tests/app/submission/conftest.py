"""A film of nine seconds, a force recording of five strokes with faults, and a review of both."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from analysis.clocks.alignment import Alignment
from app.media.encode import ClipWriter
from app.review.parts.notes import Note
from app.review.recordings import refer
from app.review.state import ReviewState
from app.user_folders import wording_path
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
