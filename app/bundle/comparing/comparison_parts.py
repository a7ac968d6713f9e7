"""All that a review's comparisons and its self-test add to a bundle, in one step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from app.bundle.comparing.comparison_files import comparison_cards
from app.bundle.comparing.comparison_page import (
    comparison_records,
    comparison_views,
    self_test_record,
    self_test_view,
)
from app.bundle.comparing.self_test_files import self_test_card
from app.bundle.page.own_words import own_words
from app.bundle.pictures.clip_store import ClipStore
from app.bundle.wording.words import Words
from app.review.parts.state import ReviewState
from app.review.recordings import STRANGER, RecordingAccess


@dataclass(frozen=True)
class ComparisonParts:
    """What goes where.

    Attributes
    ----------
    page : what `comparison.html` and `self_test.html` need, by the names they use
    record : what review.json gains
    remarks : sentences about what is missing
    """

    page: dict[str, Any] = field(default_factory=dict)
    record: dict[str, Any] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()


def comparison_parts(
    state: ReviewState,
    review_path: Path,
    library: Path | None,
    folder: Path,
    words: Words,
    step: Callable[[str], None],
    cancelled: Callable[[], bool] | None = None,
    store: ClipStore | None = None,
    access: RecordingAccess = STRANGER,
) -> ComparisonParts:
    """Write the files of all comparisons and of the self-test into a bundle's folder.

    Parameters
    ----------
    library : the folder of reference strokes, None where there is none
    step : told what comes next; may raise to stop
    store : clips and stills made before
    access : what may be read on this machine

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    place = (state, review_path, library, folder, words)
    cards, remarks = comparison_cards(
        *place, lambda n: step(f"Comparison {n}"), cancelled, store, access
    )
    test, unshown = self_test_card(
        *place, lambda n: step(f"Self-test, stroke {n}"), cancelled, store, access
    )
    return ComparisonParts(
        {
            "comparisons": comparison_views(cards, words, own_words(state.sending, words)),
            "self_test": self_test_view(test, words),
        },
        {
            "comparisons": comparison_records(cards),
            "self_test": self_test_record(test),
        },
        remarks + unshown,
    )
