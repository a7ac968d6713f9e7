"""A stroke of this time and one of last time, frame by frame."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analysis.signals.stroke import Stroke
    from app.bundle.pictures.glances import Frames
    from app.bundle.pictures.strip_data import StrokeStrip
    from app.bundle.sources.last_time import Earlier
    from app.review.recordings import RecordingAccess
    from app.submission.submission import LoadedSubmission

BothStrips = tuple["StrokeStrip", "StrokeStrip"]


def both_strips(
    earlier: Earlier, sent: LoadedSubmission, access: RecordingAccess
) -> BothStrips | None:
    """Take the strip of the stroke nearest the mean, last time and this time.

    Returns
    -------
    None where one of the films is not at hand, or not lined up with its force.

    Raises
    ------
    ReviewError, MediaError
        A film cannot be read.
    """
    from app.submission.load import load

    then = _strip(load(earlier.state, earlier.path, access=access))
    now = None if then is None else _strip(sent)
    return None if then is None or now is None else (then, now)


def _strip(sent: LoadedSubmission) -> StrokeStrip | None:
    from app.bundle.pictures.strip_data import StripError
    from app.bundle.pictures.strips import of_typical, strip_of
    from app.bundle.sources.recordings import Sources
    from app.bundle.wording.languages import words_in

    sources = Sources(sent)

    def make(film: Frames, stroke: Stroke) -> StrokeStrip:
        return strip_of(film, stroke, sent.state, sources, words_in("en"))

    try:
        return of_typical(sent.state, sources, make)
    except StripError:
        return None
