"""The review's walkthroughs in the bundle: a film each, its captions as a track and as text."""

from __future__ import annotations

import base64
import hashlib
import os
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from app.bundle.pictures.clip_store import ClipStore, key_of
from app.bundle.pictures.clips import disk_refusal
from app.bundle.pictures.content import (
    of_film,
    of_force,
    of_marks,
    of_picture,
    of_signals,
    of_track,
    of_words,
)
from app.bundle.pictures.jpeg import jpeg
from app.bundle.pictures.quality import QUALITY
from app.bundle.pictures.stills import POSTER_BOX_PX, STILL_QUALITY
from app.bundle.sources.film import first_of_made
from app.bundle.sources.recordings import Sources
from app.bundle.walkthrough.walkthrough_render import (
    RenderedWalk,
    WalkJob,
    render_walk,
    write_captions,
)
from app.bundle.wording.errors import BundleCancelled, BundleError
from app.bundle.wording.spoken import SpokenView, walk_words
from app.bundle.wording.text import clock, one_line
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.review.file.store import read_asset
from app.review.parts.sending import sent_walkthroughs
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import COMPARISON, Shown
from app.review.parts.walkthroughs import Walkthrough
from app.review.recordings import STRANGER, RecordingAccess
from app.review.values.errors import ReviewError


@dataclass(frozen=True)
class CaptionLine:
    """One caption: when it is said, as a reader sees it and in seconds, and its words."""

    when: str
    at_s: float
    text: str
    language: str = "en"


@dataclass(frozen=True)
class WalkView:
    """One walkthrough as the page shows it.

    Attributes
    ----------
    video : its film, relative to the bundle
    track : its captions as a data address, "" where there are none; browsers load no track from
        a page that lies on a disk
    captions_file : the same as a file, "" where there are none
    captions : what is read with it, in order of time
    language : the captions are in
    unread : a program wrote some of them, which the coach did not accept
    """

    number: int
    title: str
    titled: bool  # whether the coach gave the title
    video: str
    track: str
    captions_file: str
    captions: tuple[CaptionLine, ...]
    seconds: float
    width: int
    height: int
    poster: str = ""  # its first picture, "" where it could not be read
    spoken: bool = True  # recorded without a microphone, or with its voice lost, it is silent
    language: str = "en"
    unread: bool = False

    @property
    def length(self) -> str:
        """How long it is, as 1:04."""
        return clock(self.seconds).split(".")[0]


def with_walks(
    state: ReviewState,
    sources: Sources,
    review_path: Path,
    folder: Path,
    words: Words,
    step: Callable[[float, str], None],
    cancelled: Callable[[], bool] | None,
    store: ClipStore | None = None,
    library: Path | None = None,
    access: RecordingAccess = STRANGER,
) -> tuple[tuple[WalkView, ...], tuple[str, ...]]:
    """Write each walkthrough that is sent; return what the page shows of them, and remarks.

    Parameters
    ----------
    step : told a share from 0 to 1 and what is being done
    store : films made before
    library : the folder of reference strokes, which comparisons may refer to
    access : what may be read on this machine

    Raises
    ------
    BundleCancelled
        As asked.
    OSError
        The disk refused the files.
    """
    quality = QUALITY[state.sending.quality]
    job = WalkJob(
        state, review_path, sources, words, library=library, quality=quality, access=access
    )
    store = store or ClipStore(None)
    sent = sent_walkthroughs(state)
    count = len(sent)
    views: list[WalkView] = []
    remarks: list[str] = []
    for i, walk in enumerate(sent):
        number = i + 1

        def tell(share: float, _doing: str, number: int = number) -> None:
            step((number - 1 + share) / count, f"Walkthrough {number} of {count}")

        (folder / "clips").mkdir(exist_ok=True)
        name = f"clips/walkthrough-{number}.mp4"
        try:
            made = _rendered(walk, job, sources, folder / name, tell, cancelled, store)
        except BundleCancelled:
            raise
        except (MediaError, ReviewError, BundleError) as error:
            refused = disk_refusal(error)
            if refused is not None:  # no fault of the walkthrough
                raise OSError(refused, os.strerror(refused)) from error
            remarks.append(words["walk_failed"].format(number=number))
            continue
        if made.is_mute:
            remarks.append(words["walk_sound_failed"].format(number=number))
        if made.lost_pairs:
            remarks.append(words["walk_pair_failed"].format(number=number))
        views.append(_view(walk, number, name, made, job, folder))
    return tuple(views), tuple(remarks)


def _rendered(
    walk: Walkthrough,
    job: WalkJob,
    sources: Sources,
    out: Path,
    tell: Callable[[float, str], None],
    cancelled: Callable[[], bool] | None,
    store: ClipStore,
) -> RenderedWalk:
    """Take a film that was made before, or make it."""
    if any(isinstance(e, Shown) and e.what == COMPARISON for e in walk.score.events):
        # Its other recording may have changed, or a face in it been hidden since.
        return render_walk(walk, job, out, tell, cancelled)
    key = _walk_key(walk, job, sources)
    facts = store.facts(key)
    if facts is not None and store.fetch(key, out):
        width, height = facts["size"]
        captions = write_captions(walk, job, out)
        return RenderedWalk(out, captions, float(facts["length_s"]), (int(width), int(height)))
    made = render_walk(walk, job, out, tell, cancelled)
    if not made.remarks:  # what is missing today may be there the next time
        store.keep(key, out)
        store.keep_facts(key, {"size": made.size, "length_s": made.length_s})
    return made


def _walk_key(walk: Walkthrough, job: WalkJob, sources: Sources) -> str:
    """Name a film by all that decides how it looks and sounds."""
    state, quality = job.state, job.quality
    assert quality is not None
    return key_of(
        {
            **of_film(sources.reel, state),
            **of_marks(state),
            "walk": repr((walk.score.events, walk.length_s, walk.cuts, walk.left_out)),
            "voice": (_voice(walk, job), walk.sample_hz),
            "force": of_force(sources.piece),
            "sections": [(s.first, s.last) for s in sources.submission.sections],
            **of_signals(sources.submission),
            **of_picture(sources.submission),
            **of_track(sources.shown_track),
            "curve_marks": [asdict(mark) for mark in state.curve_marks],
            "alignment": asdict(state.alignment),
            "target": None if sources.target is None else asdict(sources.target),
            "words": of_words(job.words),
            "quality": (quality.height_px, quality.crf, quality.sound_bps),
        }
    )


def _voice(walk: Walkthrough, job: WalkJob) -> str:
    if not walk.sound_id:
        return ""
    try:
        return hashlib.sha256(read_asset(job.review_path, walk.sound_id)).hexdigest()
    except ReviewError:
        return "missing"


def _poster(folder: Path, number: int, name: str) -> str:
    """Write the first picture of a walkthrough, for a reader that cannot play it."""
    out = f"stills/walkthrough-{number}.jpg"
    (folder / "stills").mkdir(exist_ok=True)
    try:
        first = first_of_made(folder / name, (POSTER_BOX_PX, POSTER_BOX_PX))
        (folder / out).write_bytes(jpeg(first, STILL_QUALITY))
    except MediaError:
        return ""
    return out


def _view(
    walk: Walkthrough, number: int, name: str, made: RenderedWalk, job: WalkJob, folder: Path
) -> WalkView:
    track, captions = "", made.captions
    if captions is not None:
        track = "data:text/vtt;base64," + base64.b64encode(captions.read_bytes()).decode()
    view = walk_words(job.state, walk)
    return WalkView(
        number,
        one_line(walk.title) or job.words["walk_title"].format(number=number),
        bool(one_line(walk.title)),
        name,
        track,
        f"clips/walkthrough-{number}.vtt" if captions is not None else "",
        () if view is None else _lines(view),
        made.length_s,
        *made.size,
        _poster(folder, number, name),
        spoken=bool(walk.sound_id) and not made.is_mute,
        language=view.language if view is not None else job.words["language"],
        unread=view is not None and view.unread,
    )


def _lines(view: SpokenView) -> tuple[CaptionLine, ...]:
    return tuple(
        CaptionLine(clock(s.from_s).split(".")[0], s.from_s, s.text, view.language_of(i))
        for i, s in enumerate(view.sentences)
    )


def walk_records(walks: Sequence[WalkView]) -> list[dict[str, Any]]:
    """Give the walkthroughs as the record keeps them."""
    return [
        {
            "title": walk.title,
            "video": walk.video,
            "captions": walk.captions_file or None,
            "seconds": walk.seconds,
        }
        for walk in walks
    ]
