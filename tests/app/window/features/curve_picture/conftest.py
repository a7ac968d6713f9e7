"""The features these tests need, and a photo of a curve."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from app.window.actions.feature import Feature
from app.window.features.curve_picture.feature import CurvePictureFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.target.feature import TargetFeature
from tests.helpers.pictured_curves import Pictured, by_matplotlib, photographed


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    """No more than is spoken of here."""
    return (ReviewFileFeature, TargetFeature, CurvePictureFeature)


@pytest.fixture(scope="session")
def pictured() -> Pictured:
    """A screen with two curves, photographed."""
    rng = np.random.default_rng(12)
    return photographed(rng, by_matplotlib(rng, False, 2, 2.4), 1200)


@pytest.fixture
def photo(pictured: Pictured, tmp_path: Path) -> Path:
    """The same as a file."""
    from PIL import Image

    path = tmp_path / "monitor.jpg"
    Image.fromarray(pictured.pixels).save(path, quality=90)
    return path
