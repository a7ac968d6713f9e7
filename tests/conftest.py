"""Fresh homes and settings for every test, and no quiet skips."""

from __future__ import annotations

import gc
import os
import re
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

from analysis.body.detecting.network import ModelFiles, can_run
from app.body_models.weights import find_models, models_folder
from app.review.file import guard
from tests.helpers.patient_bot import PatientBot

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication
    from xdist.remote import Producer
    from xdist.scheduler.protocol import Scheduling

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
# Compiled once, not once in each process: there are hundreds of modules and dozens of processes.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# No test asserts a time: how long an example takes is the machine's affair.
# The same examples each time, so that nobody's work is refused for what chance found in another's;
# `pytest --hypothesis-profile=searching` looks for new ones.
settings.register_profile(
    "the_same", deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)
settings.register_profile(
    "searching", deadline=None, suppress_health_check=[HealthCheck.too_slow], max_examples=1000
)
settings.load_profile("the_same")

ROOT = Path(__file__).resolve().parents[1]
# Looked up before the tests have homes of their own; `./start test` fetches what is missing.
MODELS_FOLDER = models_folder()
FSYNC, SYNCHRONOUS = os.fsync, guard.SYNCHRONOUS

# A skip that is not expected hides a check that no longer runs.
EXPECTED_SKIPS = re.compile(
    r"recordings of others are not here"  # they lie beside the project, not in it
    r"|needs a user who is not root"
    r"|needs root"
    r"|strace is not here"  # the benchmarks of the review file then cut no power
    r"|this system counts no bytes"
    r"|the body models are not here"  # they are fetched, and a machine may have no way to them
    r"|Chromium is not here"  # the page is then only parsed, not looked at
    r"|what writes a voice down is not here"  # its package is not made for every system
    r"|PostgreSQL is not here"  # `./start test` installs it where it can
)


@pytest.fixture(scope="session")
def homes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("homes")


@pytest.fixture(autouse=True)
def fresh_home(homes: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give each test a home of its own: what one remembers must not reach the next."""
    # Not by `mktemp`, which looks through all there are to number the next.
    home = Path(tempfile.mkdtemp(dir=homes))
    for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        folder = home if name == "HOME" else home / name.lower()
        folder.mkdir(exist_ok=True)
        monkeypatch.setenv(name, str(folder))
    return home


@pytest.fixture(scope="session", autouse=True)
def no_waiting_for_the_disk() -> Iterator[None]:
    """Do not wait until what is written is on the disk itself: no test cuts the power.

    What a killed process wrote is there all the same. `durable` has a test wait.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", os.fstat)  # a handle that is none is still refused
        patch.setattr(guard, "SYNCHRONOUS", "OFF")
        yield


@pytest.fixture
def durable(monkeypatch: pytest.MonkeyPatch) -> None:
    """Bring to the disk what is brought there at work."""
    monkeypatch.setattr(os, "fsync", FSYNC)
    monkeypatch.setattr(guard, "SYNCHRONOUS", SYNCHRONOUS)


@pytest.hookimpl(hookwrapper=True)
def pytest_collection() -> Iterator[None]:
    """Let nobody look for garbage among the tests and modules, which live until the end.

    There are half a million such objects; each of the larger searches went through all of them.
    """
    gc.disable()
    yield
    gc.collect()
    gc.freeze()
    gc.enable()


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> Scheduling | None:
    """Give each process a half of the tests to begin with, and who is done some of the other's.

    So what the tests of a file or a folder share is made in one process, and no long file is left
    to one process at the end.
    """
    if config.getvalue("dist") != "load":
        return None
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log)


@pytest.fixture
def qtbot(qapp: QApplication, request: pytest.FixtureRequest) -> PatientBot:
    """Wait for what comes, however busy the machine is."""
    return PatientBot(request)


@pytest.fixture(scope="session")
def shared_media() -> Path:
    """Recordings this project did not make, kept beside it and never copied into it."""
    folder = ROOT.parent / "shared" / "media"
    if not folder.is_dir():
        pytest.skip("recordings of others are not here (../shared/media)")
    return folder


@pytest.fixture(scope="session")
def model_files() -> ModelFiles:
    """Say where the networks that find body points lie on this machine; tests fetch nothing."""
    found = find_models(MODELS_FOLDER) if can_run() else None
    if found is None or found.heavy is None:
        pytest.skip("the body models are not here (python -m app.body_models fetches them)")
    return found


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Iterator[None]:
    """Turn an unexpected skip into a failure."""
    outcome = yield
    report = outcome.get_result()  # type: ignore[attr-defined]
    if report.skipped and not hasattr(report, "wasxfail"):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
        if not EXPECTED_SKIPS.search(reason):
            report.outcome = "failed"
            report.longrepr = f"skipped, and this was not expected: {reason}"
