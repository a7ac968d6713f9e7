"""The features these tests need."""

from __future__ import annotations

import pytest

from app.window.actions.feature import Feature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.second_view.feature import SecondViewFeature


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    """No more than is spoken of here."""
    return (ReviewFileFeature, SecondViewFeature)
