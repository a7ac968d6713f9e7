"""Moved."""

from app.review.parts.blurs import *  # noqa: F403
