"""The stroke strips of a bundle: for each kept finding, or one of the typical stroke."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from analysis.force.strokes import Stroke
from app.bundle.film import open_film
from app.bundle.glances import Frames
from app.bundle.kept import Kept
from app.bundle.night import with_night
from app.bundle.sources import Sources
from app.bundle.strip import StripError, StripSpan, StripWords, StrokeStrip, make_strip
from app.bundle.strip_layout import lay_out
from app.bundle.strip_paint import paint_strip, strip_svg
from app.bundle.text import one_line
from app.bundle.words import Words
from app.media.errors import MediaError
from app.review.draft import Drafting, stroke_to_show
from app.review.state import ReviewState

WIDE, NARROW = 840, 360  # points: a page between a tablet and a desk, and a phone held upright
_PNG_PX = 1600
_FEWEST_FRAMES = 4  # a strip of fewer says nothing of a movement


@dataclass(frozen=True)
class StripFiles:
    """A strip as the page shows it.

    Attributes
    ----------
    svg, narrow, png : paths inside the bundle; `narrow` is the same strip for a phone
    size, narrow_size : width and height in points
    """

    svg: str
    narrow: str
    png: str
    size: tuple[int, int]
    narrow_size: tuple[int, int]
    alt: str


Made = dict[int, StrokeStrip]


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
) -> StripFiles | None:
    """Write the strip of a kept finding, its span shaded; None where there is nothing to show.

    Parameters
    ----------
    made : strips by stroke, so that the frames of one stroke are decoded once

    Raises
    ------
    MediaError
        The film is damaged there.
    """
    finding = kept.finding
    if stroke is None or not can_be_shown(state, sources):
        return None
    span = None
    if finding is not None and finding.evidence.percent_from is not None:
        end = finding.evidence.percent_to
        begin = finding.evidence.percent_from
        span = StripSpan(begin, begin if end is None else end, one_line(finding.title))
    return _write(film, made, name, stroke, span, state, sources, folder, words)


def typical_strip(
    state: ReviewState, sources: Sources, folder: Path, words: Words
) -> StripFiles | None:
    """Write the strip of the stroke nearest the mean; None where there is none, or no film."""
    if sources.video is None or not can_be_shown(state, sources):
        return None
    try:
        with open_film(sources.video, state) as film:
            start = Drafting(
                piece=sources.piece, alignment=state.alignment, footage_s=film.duration_s
            )
            stroke = stroke_to_show(start)
            if stroke is None:
                return None
            return _write(film, {}, "typical", stroke, None, state, sources, folder, words)
    except MediaError:
        return None


def can_be_shown(state: ReviewState, sources: Sources) -> bool:
    """Whether a frame can be put above a moment of force at all: not if nobody lined them up."""
    return sources.piece is not None and state.alignment.method != "assumed"


def _write(
    film: Frames,
    made: Made,
    name: str,
    stroke: Stroke,
    span: StripSpan | None,
    state: ReviewState,
    sources: Sources,
    folder: Path,
    words: Words,
) -> StripFiles | None:
    assert sources.piece is not None
    try:
        if stroke.index not in made:
            made[stroke.index] = make_strip(
                film,
                sources.piece,
                stroke.index,
                state.alignment,
                state.turn,
                sources.target,
                words=strip_words(words),
            )
        strip = replace(made[stroke.index], span=span)
    except StripError:
        return None
    if len(strip.frames) < _FEWEST_FRAMES:
        return None
    alt = strip_alt(strip, stroke, words)
    (folder / "strips").mkdir(exist_ok=True)
    files = StripFiles(
        f"strips/{name}.svg",
        f"strips/{name}-narrow.svg",
        f"strips/{name}.png",
        _size(strip, WIDE),
        _size(strip, NARROW),
        alt,
    )
    wide, narrow = (with_night(strip_svg(strip, width, alt=alt)) for width in (WIDE, NARROW))
    (folder / files.svg).write_text(wide, "utf-8", newline="")
    (folder / files.narrow).write_text(narrow, "utf-8", newline="")
    (folder / files.png).write_bytes(paint_strip(strip, _PNG_PX, scale=_PNG_PX / WIDE))
    return files


def _size(strip: StrokeStrip, width: int) -> tuple[int, int]:
    layout = lay_out(strip, float(width))
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


def strip_alt(strip: StrokeStrip, stroke: Stroke, words: Words) -> str:
    """Say what is seen on a strip."""
    percent, force_n = strip.peak
    text = words["strip_alt"].format(
        number=stroke.index + 1,
        frames=len(strip.frames),
        peak=f"{force_n:.0f}",
        at=f"{percent:.0f}",
    )
    if strip.span is not None:
        text += words["strip_alt_span"].format(
            begin=f"{strip.span.percent_from:.0f}",
            end=f"{strip.span.percent_to:.0f}",
            what=strip.span.words,
        )
    return text
