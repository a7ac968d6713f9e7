"""Moved."""

from app.review.parts.walkthroughs import *  # noqa: F403
from app.review.walk_events import *  # noqa: F403
from app.review.walk_timing import *  # noqa: F403
