"""Moved."""

from app.review.parts.sending import *  # noqa: F403
