"""Moved."""

from app.review.parts.answers import *  # noqa: F403
