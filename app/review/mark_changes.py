"""Moved."""

from app.review.parts.marks import *  # noqa: F403
