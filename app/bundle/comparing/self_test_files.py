"""The clips of the self-test: named by their place, so that no file name gives the answer away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from app.bundle.pictures import clips, stills
from app.bundle.pictures.clip_store import ClipStore
from app.bundle.pictures.clips import LEAD_S, LONGEST_S, Span
from app.bundle.pictures.quality import QUALITY, look_of
from app.bundle.sources.film import open_film
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.review.parts.self_test import SelfTest, SelfTestItem
from app.review.parts.sending import sent_self_test
from app.review.parts.state import ReviewState
from app.review.recordings import STRANGER, RecordingAccess
from app.review.values.errors import ReviewError
from app.submission.resolving import resolve


@dataclass(frozen=True)
class ItemCard:
    """One stroke of the self-test; paths inside the bundle, None without footage."""

    number: int
    item: SelfTestItem
    clip: str | None = None
    poster: str | None = None
    size: tuple[int, int] = (0, 0)


@dataclass(frozen=True)
class SelfTestCard:
    """The self-test as the bundle shows it."""

    test: SelfTest
    items: tuple[ItemCard, ...]


def self_test_card(
    state: ReviewState,
    review_path: Path,
    library: Path | None,
    folder: Path,
    words: Words,
    step: Callable[[int], None],
    cancelled: Callable[[], bool] | None = None,
    store: ClipStore | None = None,
    access: RecordingAccess = STRANGER,
) -> tuple[SelfTestCard | None, tuple[str, ...]]:
    """Write the clips of a review's self-test; a stroke without footage is left out and remarked.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    test = sent_self_test(state)
    if test is None:
        return None, ()
    made: list[ItemCard] = []
    remarks: list[str] = []
    for count, item in enumerate(test.items, start=1):
        step(count)
        try:
            card = ItemCard(count, item)
            place = (
                state,
                review_path,
                library,
                folder,
                cancelled,
                store or ClipStore(None),
                access,
            )
            made.append(_with_clip(card, *place))
        except (ReviewError, MediaError):
            remarks.append(words["self_test_missing"].format(number=count))
    return (SelfTestCard(test, tuple(made)) if made else None), tuple(remarks)


def _with_clip(
    card: ItemCard,
    state: ReviewState,
    review_path: Path,
    library: Path | None,
    folder: Path,
    cancelled: Callable[[], bool] | None,
    store: ClipStore,
    access: RecordingAccess,
) -> ItemCard:
    stroke = card.item.stroke
    found = resolve(stroke, state, review_path, library, cancelled=cancelled, access=access)
    if found.video is None:
        raise MediaError("The stroke has no footage.")
    for name in ("clips", "stills"):
        (folder / name).mkdir(exist_ok=True)
    start_s = max(0.0, stroke.catch_s - LEAD_S)
    span = Span(start_s, min(stroke.next_catch_s, start_s + LONGEST_S), True)
    clip, poster = f"clips/self-test-{card.number}.mp4", f"stills/self-test-{card.number}.jpg"
    with open_film(found.reel, found.state) as film:
        size = stills.write_still(
            film, span.from_s, folder / poster, found.turn, stills.POSTER_BOX_PX
        )
        quality = QUALITY[state.sending.quality]
        # Nothing is drawn on these: a mark would give the answer away.
        key = clips.clip_key(film, replace(found.state, marks=()), span, quality)
        if not store.fetch(key, folder / clip):
            look = look_of(quality)
            clips.write_clip(film, found.state, span, folder / clip, look, cancelled)
            store.keep(key, folder / clip)
    return replace(card, clip=clip, poster=poster, size=size)
