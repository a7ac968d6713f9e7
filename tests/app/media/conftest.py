from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from app.media import proxy, server
from tests.helpers.clips import FFMPEG, make_clip
from tests.helpers.patience import HANGS_S


@pytest.fixture(autouse=True)
def closing_takes_what_it_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    """A busy machine may take longer to end a thread than a window would wait for it."""
    monkeypatch.setattr(proxy, "_CLOSE_WAIT_S", HANGS_S)
    monkeypatch.setattr(server, "_CLOSE_WAIT_S", HANGS_S)


@pytest.fixture(scope="session")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Makes the clip of a recipe once a session."""
    if FFMPEG is None:
        pytest.skip("the ffmpeg program is not installed")
    folder = tmp_path_factory.mktemp("clips")
    return lambda name: make_clip(folder, name)
