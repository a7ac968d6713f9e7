"""A small film, a small force recording and a review of both."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from analysis.force.target import TargetCurve
from app.bundle.options import WriteOptions
from app.bundle.write import BundleResult, write_bundle
from app.media.encode import ClipWriter
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from tests.helpers.clips import numbered

FPS = 20
FILM_S = 9.0
OFFSET_S = 0.5
CATCHES_S = (0.6, 2.6, 4.6, 6.6)
DRIVE_S = 0.8
PEAK_N = 600.0


def force_text() -> str:
    """Four half-sine drives with the handle's travel, 100 samples a second, with a header."""
    time_s = np.arange(0.0, 8.5, 0.01)
    force_n = np.zeros_like(time_s)
    position_m = np.zeros_like(time_s)
    for catch_s in CATCHES_S:
        share = np.clip((time_s - catch_s) / DRIVE_S, 0.0, 1.0)
        back = np.clip((time_s - catch_s - DRIVE_S) / 1.1, 0.0, 1.0)
        force_n += PEAK_N * np.sin(np.pi * share)
        position_m += 1.2 * (share - back)
    rows = zip(time_s, np.maximum(force_n, 0.0), position_m, strict=True)
    return "time_s,force_N,position_m\n" + "".join(f"{t:.2f},{f:.2f},{x:.4f}\n" for t, f, x in rows)


@pytest.fixture(scope="session")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make the folder of a coach: a film whose pixels hold the frame's number, and a force file."""
    folder = tmp_path_factory.mktemp("coach-jane-doe") / "submissions"
    folder.mkdir()
    with ClipWriter(folder / "film-of-jane.mp4", 320, 180) as film:
        for i in range(int(FILM_S * FPS)):
            film.add(numbered(i), i / FPS)
        film.finish(FILM_S)
    (folder / "force-of-jane.csv").write_text(force_text(), "utf-8")
    return folder


@pytest.fixture(scope="session")
def review_path(desk: Path) -> Path:
    return desk / "autumn.review"


@pytest.fixture(scope="session")
def review(desk: Path, review_path: Path) -> ReviewState:
    """Make a review with one note of each kind."""
    return ReviewState(
        title="Autumn",
        athlete="Maren",
        video=refer(desk / "film-of-jane.mp4", "video", review_path),
        trace=refer(desk / "force-of-jane.csv", "trace", review_path),
        alignment=Alignment(OFFSET_S, 0.0, 0.01, "by hand"),
        notes=(
            Note("a", 1.35, "Hang off the handle first.", phase="catch", body_part="legs"),
            Note("b", 3.5, "Here the lower back rounds.", phase="drive", body_part="trunk"),
            Note("c", 3.6, "Same stroke, later.", phase="finish"),
            Note("d", 5.0, "Look at all of this.", end_s=6.2),
            Note("e", 8.5, ""),
        ),
        target=TargetCurve(),
    )


@pytest.fixture(scope="session")
def words_only() -> ReviewState:
    """Make a review of words alone, which is written quickly."""
    return ReviewState(title="Words", notes=(Note("a", 1.0, "Sit up."),))


@pytest.fixture(scope="session")
def force_only(review: ReviewState) -> ReviewState:
    return replace(review, video=None)


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> WriteOptions:
    """Options for tests that look at pages: no clip is made twice for them."""
    return WriteOptions(clips=tmp_path_factory.mktemp("kept"))


@pytest.fixture(scope="session")
def written(
    review: ReviewState,
    review_path: Path,
    made_once: WriteOptions,
    tmp_path_factory: pytest.TempPathFactory,
) -> BundleResult:
    """Write the bundle of the whole review once, for tests that only read it."""
    out = tmp_path_factory.mktemp("sent") / "feedback"
    return write_bundle(review, review_path, out, options=made_once)
