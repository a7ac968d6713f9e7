"""Moved."""

from app.review.parts.comparisons import *  # noqa: F403
from app.review.parts.self_test import *  # noqa: F403
from app.review.stroke_ref import *  # noqa: F403
