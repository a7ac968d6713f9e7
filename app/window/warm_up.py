"""Loading the large libraries while nobody waits for them.

Loading one stops every thread for a moment. Done at the first submission, the window would
stutter just when the coach begins to work; done right after the start, nobody sees it.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import threading
from collections.abc import Callable

MODULES = (
    "pandas",
    "scipy.signal",
    "scipy.stats",
    "scipy.integrate",
    "analysis.force.intake",
    "analysis.force.piece",
    "analysis.force.flywheel",
    "analysis.body.following.follow",
    "analysis.body.following.next_click",
    "analysis.body.following.packing",
    "analysis.body.piece",
    "analysis.findings.find",
    "analysis.clocks.matching",
    "app.body.track_film",
    "app.submission.lining_up",
    "app.media.describe",
    "app.media.server",
    "app.review.review",
    "app.review.recordings",
    "app.review.finding_notes",
)


def warm_up(and_then: Callable[[], None] | None = None) -> threading.Thread:
    """Begin to load what the first submission will need; returns the thread that does it.

    Parameters
    ----------
    and_then : called in that thread when all is loaded
    """
    thread = threading.Thread(target=_load, args=(and_then,), name="warming up", daemon=True)
    thread.start()
    return thread


def _load(and_then: Callable[[], None] | None) -> None:
    for name in MODULES:
        # What is missing is said where it is needed.
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    with contextlib.suppress(ImportError):
        from app.media.opencv import opencv

        opencv()
    # What is loaded stays. Looking through all of it for what can be thrown away takes a tenth of a
    # second, in which no thread runs, whichever of them began it.
    gc.freeze()
    if and_then is not None:
        and_then()
