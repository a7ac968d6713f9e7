from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.helpers.clips import FFMPEG, make_clip


@pytest.fixture(scope="session")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Makes the clip of a recipe once a session."""
    if FFMPEG is None:
        pytest.skip("the ffmpeg program is not installed")
    folder = tmp_path_factory.mktemp("clips")
    return lambda name: make_clip(folder, name)
