"""The features these tests need."""

from __future__ import annotations

import pytest

from app.window.actions.feature import Feature
from app.window.features.annotations.annotation_tools import AnnotationTools
from app.window.features.comparing.feature import ComparingFeature
from app.window.features.footage.feature import FootageFeature
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.signals.feature import SignalsFeature
from app.window.features.stroke_strip.feature import StrokeStripFeature


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    """No more than is spoken of here."""
    return (
        AnnotationTools,
        ComparingFeature,
        FootageFeature,
        NotesFeature,
        ReviewFileFeature,
        SignalsFeature,
        StrokeStripFeature,
    )
