"""A submission in a working folder, for the commands."""

import shutil
from pathlib import Path

import pytest

from samples.submission import SampleOptions, Submission, make_submission

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
