"""Moved."""

from app.review.mark_shapes import *  # noqa: F403
from app.review.parts.marks import *  # noqa: F403
