"""What the placeholders in a coach's texts become for a review."""

from __future__ import annotations

from app.bundle.sources.recordings import Sources
from app.bundle.sources.titles import title_of
from app.bundle.wording.text import one_line
from app.review.parts.state import ReviewState


def values_of(state: ReviewState, sources: Sources, notes: int) -> dict[str, str]:
    """Give the values of a review; `notes` is how many are sent."""
    usual = sources.usual

    def mean(name: str, digits: int) -> str:
        spread = usual.get(name)
        return "" if spread is None else f"{spread.mean:.{digits}f}"

    whole = max((s.count for s in usual.values() if s is not None), default=0)
    return {
        "athlete": one_line(state.athlete),
        "title": title_of(state),
        "coach": one_line(state.sending.coach),
        "notes": str(notes),
        "strokes": str(whole) if whole else "",
        "rate": mean("rate_spm", 0),
        "peak": mean("peak_n", 0),
        "rhythm": mean("rhythm", 1),
    }
