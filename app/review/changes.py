"""Moved."""

from app.review.change import *  # noqa: F403
from app.review.parts.about import *  # noqa: F403
from app.review.parts.findings import *  # noqa: F403
from app.review.parts.flywheel import *  # noqa: F403
from app.review.parts.line_up import *  # noqa: F403
from app.review.parts.media import *  # noqa: F403
from app.review.parts.notes import *  # noqa: F403
from app.review.parts.picture import *  # noqa: F403
from app.review.parts.target import *  # noqa: F403
