"""Moved."""

from app.review.parts.walkthroughs import *  # noqa: F403
