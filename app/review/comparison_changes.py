"""Moved."""

from app.review.parts.comparisons import *  # noqa: F403
from app.review.parts.reference import *  # noqa: F403
from app.review.parts.self_test import *  # noqa: F403
