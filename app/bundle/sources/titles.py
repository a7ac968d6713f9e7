"""What a bundle is called."""

from __future__ import annotations

from pathlib import PurePosixPath

from app.bundle.wording.text import one_line
from app.review.parts.state import ReviewState


def title_of(state: ReviewState) -> str:
    """Give the title somebody typed, "" where nobody did.

    A review of an earlier version was called like its first recording, and the name of a file may
    say more than an athlete's page should.
    """
    title = one_line(state.title)
    names = (ref.path.replace("\\", "/") for ref in (state.video, state.trace) if ref is not None)
    files = {
        one_line(part) for n in names for part in (PurePosixPath(n).stem, PurePosixPath(n).name)
    }
    return "" if title in files else title
