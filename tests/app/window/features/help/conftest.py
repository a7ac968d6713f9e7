"""The features these tests need."""

from __future__ import annotations

import pytest

from app.window.actions.feature import Feature
from app.window.features.findings.feature import FindingsFeature
from app.window.features.footage.feature import FootageFeature
from app.window.features.help.feature import HelpFeature
from app.window.features.review_file.feature import ReviewFileFeature


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    """No more than is spoken of here."""
    return (ReviewFileFeature, FindingsFeature, FootageFeature, HelpFeature)
