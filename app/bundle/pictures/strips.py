"""The stroke strips of a bundle: for each kept finding, or one of the typical stroke."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TypeVar

from analysis.signals.stroke import Stroke
from app.bundle.pictures.clip_store import ClipStore, key_of
from app.bundle.pictures.content import (
    of_film,
    of_force,
    of_marks,
    of_picture,
    of_signals,
    of_track,
    of_words,
)
from app.bundle.pictures.glances import Frames
from app.bundle.pictures.jpeg import jpeg
from app.bundle.pictures.second_film import key_of_views, with_second_view
from app.bundle.pictures.stills import STILL_QUALITY
from app.bundle.pictures.strip import (
    StripError,
    StripSpan,
    StripWords,
    StrokeStrip,
    make_strip,
    picture_strip,
)
from app.bundle.pictures.strip_axis import drawing_of
from app.bundle.pictures.strip_paint import strip_pixels, strip_svg
from app.bundle.sources.film import open_film
from app.bundle.sources.kept import Kept
from app.bundle.sources.recordings import Sources
from app.bundle.wording.finding_texts import said_in
from app.bundle.wording.mark_words import curve_marks_named, marks_named
from app.bundle.wording.signal_words import named_signals
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.review.parts.curve_marks import on_curve
from app.review.parts.state import ReviewState
from app.scene.night import with_night
from app.submission.draft import Films, stroke_to_show

WIDE, NARROW = 840, 360  # points: a page between a tablet and a desk, and a phone held upright
_PICTURE_PX = 1600
_FEWEST_FRAMES = 4  # a strip of fewer says nothing of a movement


@dataclass(frozen=True)
class StripFiles:
    """A strip as the page shows it.

    Attributes
    ----------
    svg, narrow, picture : paths inside the bundle; `narrow` is the same strip for a phone
    size, narrow_size : width and height in points
    """

    svg: str
    narrow: str
    picture: str
    size: tuple[int, int]
    narrow_size: tuple[int, int]
    alt: str


Made = dict[int, StrokeStrip]
Of = TypeVar("Of")


def finding_strip(
    film: Frames,
    made: Made,
    name: str,
    stroke: Stroke | None,
    kept: Kept,
    state: ReviewState,
    sources: Sources,
    folder: Path,
    words: Words,
    store: ClipStore,
) -> StripFiles | None:
    """Write the strip of a kept finding, its span shaded; None where there is nothing to show.

    Parameters
    ----------
    made : strips by stroke, so that the frames of one stroke are decoded once
    store : strips made before

    Raises
    ------
    MediaError
        The film is damaged there.
    """
    finding = kept.finding
    if stroke is None or not can_be_shown(sources):
        return None
    span = None
    if finding is not None and finding.evidence.percent_from is not None:
        end = finding.evidence.percent_to
        begin = finding.evidence.percent_from
        span = StripSpan(
            begin,
            begin if end is None else end,
            one_line(said_in(finding.title, words["language"])),
        )
    return _kept_or_made(film, made, name, stroke, span, state, sources, folder, words, store)


def typical_strip(
    state: ReviewState,
    sources: Sources,
    folder: Path,
    words: Words,
    store: ClipStore,
    name: str = "typical",
) -> StripFiles | None:
    """Write the strip of the stroke nearest the mean; None where there is none, or no film."""

    def make(film: Frames, stroke: Stroke) -> StripFiles | None:
        return _kept_or_made(film, {}, name, stroke, None, state, sources, folder, words, store)

    try:
        return of_typical(state, sources, make)
    except MediaError:
        return None


def of_typical(
    state: ReviewState, sources: Sources, make: Callable[[Frames, Stroke], Of | None]
) -> Of | None:
    """Make something of the typical stroke and its film; None where there is none, or no film.

    Raises
    ------
    MediaError
        The film cannot be read.
    """
    if sources.video is None or not can_be_shown(sources):
        return None
    with open_film(sources.reel, state) as film:
        stroke = typical_stroke(sources, film.index.spans)
        return None if stroke is None else make(film, stroke)


def typical_stroke(sources: Sources, filmed: Films) -> Stroke | None:
    """The stroke nearest the mean, among those the film shows."""
    if sources.from_picture:
        return None if sources.submission.main is None else sources.submission.main.typical
    shows = (sources.main, sources.piece)  # the film may show another section only
    found = (stroke_to_show(part, sources.clock, filmed) for part in shows)
    return next((s for s in found if s is not None), None)


def can_be_shown(sources: Sources) -> bool:
    """Whether a frame has its place in a stroke: not if nobody lined film and force up."""
    if sources.from_picture:
        return True
    return sources.piece is not None and sources.clock.is_lined_up


def _kept_or_made(
    film: Frames,
    made: Made,
    name: str,
    stroke: Stroke,
    span: StripSpan | None,
    state: ReviewState,
    sources: Sources,
    folder: Path,
    words: Words,
    store: ClipStore,
) -> StripFiles | None:
    key = key_of(
        {
            **of_film(sources.reel, state),
            **of_marks(state),
            "strip": (stroke.index, WIDE, NARROW, _PICTURE_PX),
            "force": of_force(sources.submission.around(stroke.index)),
            **of_picture(sources.submission),
            **of_signals(sources.submission),
            **of_track(sources.shown_track),
            **key_of_views(sources.submission, state),
            "alignment": asdict(state.alignment),
            "target": None if sources.target is None else asdict(sources.target),
            "span": None if span is None else asdict(span),
            "drawn": [asdict(m) for m in on_curve(state.curve_marks, "time", stroke.index)],
            "words": of_words(words),
        }
    )
    files = StripFiles(
        f"strips/{name}.svg", f"strips/{name}-narrow.svg", f"strips/{name}.jpg", (0, 0), (0, 0), ""
    )
    places = {part: folder / path for part, path in _parts(files).items()}
    facts = store.facts(key)
    if facts is not None:
        (folder / "strips").mkdir(exist_ok=True)
        if all(store.fetch(f"{key}{part}", place) for part, place in places.items()):
            size, narrow = ((int(w), int(h)) for w, h in facts["sizes"])
            return replace(files, size=size, narrow_size=narrow, alt=str(facts["alt"]))
    written = _write(film, made, files, stroke, span, state, sources, folder, words)
    if written is not None:
        for part, place in places.items():
            store.keep(f"{key}{part}", place)
        store.keep_facts(key, {"sizes": [written.size, written.narrow_size], "alt": written.alt})
    return written


def _parts(files: StripFiles) -> dict[str, str]:
    """What the files of a strip are called in the store, behind its name."""
    return {"w": files.svg, "n": files.narrow, "p": files.picture}


def _write(
    film: Frames,
    made: Made,
    files: StripFiles,
    stroke: Stroke,
    span: StripSpan | None,
    state: ReviewState,
    sources: Sources,
    folder: Path,
    words: Words,
) -> StripFiles | None:
    try:
        if stroke.index not in made:
            strip = strip_of(film, stroke, state, sources, words)
            sent = sources.submission
            made[stroke.index] = with_second_view(strip, stroke, sent, state, words)
    except StripError:
        return None
    drawn = () if sources.from_picture else on_curve(state.curve_marks, "time", stroke.index)
    strip = replace(made[stroke.index], span=span, marks=drawn)
    if len(strip.frames) < _FEWEST_FRAMES:
        return None
    alt = strip_alt(strip, stroke, words, state.metres_per_px)
    (folder / "strips").mkdir(exist_ok=True)
    files = replace(files, size=_size(strip, WIDE), narrow_size=_size(strip, NARROW), alt=alt)
    wide, narrow = (with_night(strip_svg(strip, width, alt=alt)) for width in (WIDE, NARROW))
    (folder / files.svg).write_text(wide, "utf-8", newline="")
    (folder / files.narrow).write_text(narrow, "utf-8", newline="")
    pixels = strip_pixels(strip, _PICTURE_PX, scale=_PICTURE_PX / WIDE)
    (folder / files.picture).write_bytes(jpeg(pixels, STILL_QUALITY))
    return files


def strip_of(
    film: Frames | None, stroke: Stroke, state: ReviewState, sources: Sources, words: Words
) -> StrokeStrip:
    """Take the frames of a stroke, over its force where there is one.

    Raises
    ------
    StripError
        There is nothing to show of it.
    MediaError
        The film cannot be read.
    """
    piece = sources.submission.around(stroke.index)
    if piece is None:
        if film is None:
            raise StripError("There is neither film nor force of this stroke.")
        return picture_strip(
            film, stroke, turn_words(words), state,
            named_signals(sources.submission, words), sources.shown_track,
        )  # fmt: skip
    return make_strip(
        film, piece, stroke.index, sources.clock, state.turn, sources.target,
        words=strip_words(words), state=state, signals=named_signals(sources.submission, words),
        track=sources.shown_track,
    )  # fmt: skip


def _size(strip: StrokeStrip, width: int) -> tuple[int, int]:
    layout = drawing_of(strip, float(width))
    return round(layout.width), round(layout.height)


def strip_words(words: Words) -> StripWords:
    """Give the fixed words of a strip in the bundle's language."""
    return StripWords(
        words["catch"],
        words["peak"],
        words["finish"],
        words["own_curve"],
        words["legend_mean"],
        words["legend_target"],
    )


def turn_words(words: Words) -> StripWords:
    """Give the fixed words of a strip of the picture alone, which knows no catch."""
    return StripWords(words["hands_turn"], "", words["finish_turn"], "", "", "")


def strip_alt(
    strip: StrokeStrip, stroke: Stroke, words: Words, metres_per_px: float | None = None
) -> str:
    """Say what is seen on a strip."""
    facts = {"number": stroke.index + 1, "frames": len(strip.frames)}
    if strip.has_force:
        percent, force_n = strip.peak
        text = words["strip_alt"].format(peak=f"{force_n:.0f}", at=f"{percent:.0f}", **facts)
    else:
        text = words["strip_alt_picture"].format(**facts)
    if strip.span is not None:
        text += words["strip_alt_span"].format(
            begin=f"{strip.span.percent_from:.0f}",
            end=f"{strip.span.percent_to:.0f}",
            what=strip.span.words,
        )
    if strip.second:
        text += f" {strip.second_words}."
    drawn = list(dict.fromkeys(mark for frame in strip.frames for mark in frame.marks))
    names = marks_named(drawn, metres_per_px, words) + curve_marks_named(strip.marks, words)
    if names:
        said = [one_line(name) for name in names]
        text += " " + words["still_alt_marks"].format(marks=", ".join(said))
    return text
