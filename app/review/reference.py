"""Moved."""

from app.review.parts.reference import *  # noqa: F403
