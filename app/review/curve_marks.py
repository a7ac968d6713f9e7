"""Moved."""

from app.review.parts.curve_marks import *  # noqa: F403
