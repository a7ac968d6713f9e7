"""The networks, where they are, and frames of films with published or simulated points."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import av
import numpy as np
import pytest

from analysis.body.detecting.models import BodyModels, load_models
from analysis.body.detecting.network import ModelFiles
from samples.submission import small_sample

FRAMES = 60


def decoded(path: Path, count: int) -> Iterator[np.ndarray]:
    with av.open(str(path)) as container:
        for number, frame in enumerate(container.decode(video=0)):
            if number >= count:
                return
            yield frame.to_ndarray(format="rgb24")


@pytest.fixture(scope="session")
def models(model_files: ModelFiles) -> BodyModels:
    return load_models(model_files)


@pytest.fixture(scope="session")
def reference() -> dict:
    return json.loads((Path(__file__).parent / "reference.json").read_text("utf-8"))


@pytest.fixture(scope="session")
def rower() -> list[np.ndarray]:
    """The first frames of the sample's footage, 30 a second."""
    return list(decoded(small_sample().footage, 101))


@pytest.fixture(scope="session")
def raised(shared_media: Path) -> list[np.ndarray]:
    """Frames of a stranger who raises the arms."""
    return list(decoded(shared_media / "people" / "pose_1.mp4", 101))


@pytest.fixture(scope="session")
def truth() -> dict[str, np.ndarray]:
    """Where the sample's rower is: pixels by name of the point, a row a frame."""
    said = json.loads(small_sample().truth.read_text("utf-8"))["frames"]["points_px"]
    return {name: np.array(at) for name, at in said.items()}
