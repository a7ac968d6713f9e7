"""A submission in a working folder, for the commands."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from samples.submission import SampleOptions, Submission, make_submission, small_sample

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from app.submission.lining_up import Signals

OFFSET_S = 0.8


@pytest.fixture(scope="session")
def submission(tmp_path_factory: pytest.TempPathFactory) -> Submission:
    options = SampleOptions(
        duration_s=11.0,
        fps=10,
        width=320,
        height=180,
        rate_spm=28.0,
        offset_s=OFFSET_S,
        drift_ppm=0.0,
    )
    return make_submission(tmp_path_factory.mktemp("submission"), options)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Start Chromium once for all pages; each test opens, and closes, what it looks at.

    Once it runs, `sync_playwright` cannot be entered again in this process: take this one.
    """
    from tests.helpers.browser import chromium

    yield from chromium()


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A working folder, with a state folder of its own for the log."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("STROKESIDE_DEBUG", raising=False)
    return folder


@pytest.fixture
def sent(here: Path, submission: Submission) -> tuple[str, str]:
    """Footage and force in the working folder, by their names there."""
    shutil.copy(submission.footage, here / "film.mp4")
    shutil.copy(submission.force, here / "force.csv")
    return "film.mp4", "force.csv"


@pytest.fixture(scope="session")
def signals_of_sample() -> dict[tuple[str, ...], Signals]:
    """What was measured of the sample's film so far, by what was asked for."""
    return {}


@pytest.fixture(scope="module")
def sample_measured_once(
    signals_of_sample: dict[tuple[str, ...], Signals],
) -> Iterator[None]:
    """To measure the sample's film takes seconds; who lines it up again gets the same signals."""
    from app.submission import laying, lining_up

    measure = lining_up.footage_signals

    def once(
        video: str | Path,
        progress: Callable[[float], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
        use: Sequence[str] = ("picture", "sound"),
    ) -> Signals:
        if Path(video) != small_sample().footage or cancelled is not None:
            return measure(video, progress, cancelled, use)
        key = tuple(use)
        if key not in signals_of_sample:
            signals_of_sample[key] = measure(video, progress, cancelled, use)
        if progress is not None:
            progress(1.0)
        return signals_of_sample[key]

    with pytest.MonkeyPatch.context() as patch:
        for room in (lining_up, laying):
            patch.setattr(room, "footage_signals", once)
        yield
