"""Last time beside this time in pictures: a stroke of each, and the order of movement of each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from app.bundle.pictures.clip_store import ClipStore
from app.bundle.pictures.movement import OrderFiles, order_files
from app.bundle.pictures.strips import StripFiles, typical_strip
from app.bundle.sources.last_time import LastTime
from app.bundle.sources.recordings import Sources, gather
from app.bundle.wording.words import Words
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingAccess
from app.review.values.errors import ReviewError


@dataclass(frozen=True)
class Beside:
    """Then and now, each a pair of its own; None where one of the two is not at hand."""

    orders: tuple[OrderFiles, OrderFiles] | None = None
    strips: tuple[StripFiles, StripFiles] | None = None


def beside(
    last: LastTime | None,
    state: ReviewState,
    sources: Sources,
    folder: Path,
    words: Words,
    store: ClipStore,
    access: RecordingAccess,
) -> Beside:
    """Write both orders of movement, and a typical stroke of each film; unlike ones are not shown.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    if last is None or last.unlike or not last.says_something:
        return Beside()

    def strip(of: ReviewState, seen: Sources, name: str) -> StripFiles | None:
        return typical_strip(of, seen, folder, words, store, name)

    return Beside(_orders(last, folder, words), _strips(last, state, sources, access, strip))


def _orders(last: LastTime, folder: Path, words: Words) -> tuple[OrderFiles, OrderFiles] | None:
    if last.orders is None:
        return None
    names = "last-time-order", "this-time-order"
    then, now = (
        order_files(order, folder, words, name)
        for order, name in zip(last.orders, names, strict=True)
    )
    return None if then is None or now is None else (then, now)


def _strips(
    last: LastTime,
    state: ReviewState,
    sources: Sources,
    access: RecordingAccess,
    strip: Callable[[ReviewState, Sources, str], StripFiles | None],
) -> tuple[StripFiles, StripFiles] | None:
    """A stroke of each; the earlier film is opened through the door that hides its faces."""
    if last.earlier is None or sources.video is None:
        return None
    before = last.earlier
    try:
        there = gather(before.state, before.path, access)
    except ReviewError:  # another recording lies there by now
        return None
    then = strip(before.state, there, "last-time")
    now = None if then is None else strip(state, sources, "this-time")
    return None if then is None or now is None else (then, now)
