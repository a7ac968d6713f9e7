"""The films of second cameras that are at hand, and what they show of a stroke's strip."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from app.bundle.pictures.content import of_view
from app.bundle.pictures.strip import second_frames
from app.bundle.sources.film import open_film
from app.bundle.wording.text import one_line
from app.media.errors import MediaError
from app.review.parts.films import FurtherFilm, views_of_piece
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState

if TYPE_CHECKING:
    from analysis.signals.stroke import Stroke
    from app.bundle.pictures.strip_data import StrokeStrip
    from app.media.laid import Laid
    from app.submission.submission import LoadedSubmission

FEWEST_FRAMES: Final = 4  # fewer say nothing of a movement


@dataclass(frozen=True)
class SecondFilm:
    """The film of a second camera that is at hand."""

    film: FurtherFilm
    laid: Laid

    def caption(self, words: Mapping[str, str]) -> str:
        """Say that it shows the same moment, and how sure that is."""
        if self.film.uncertainty_s is None:
            return one_line(words["view_caption"])
        near = f"{1000.0 * self.film.uncertainty_s:.0f}"
        return one_line(words["view_caption_within"].format(ms=near))


def second_films(submission: LoadedSubmission) -> tuple[SecondFilm, ...]:
    """The second views that lie on this machine."""
    from app.media.laid import Laid

    held = {film.film_id: film.path for film in submission.films[1:]}
    return tuple(
        SecondFilm(film, Laid(path, film.offset_s, film.ref.capture_fps))
        for film in views_of_piece(submission.state)
        if (path := held.get(film.id)) is not None
    )


def plain_state(state: ReviewState) -> ReviewState:
    """The review for another camera's pictures: turn and marks are those of the first film."""
    return replace(state, turn=PictureTurn(), marks=())


def sent_with_strips(submission: LoadedSubmission, state: ReviewState) -> tuple[SecondFilm, ...]:
    """The second views a strip may show; none where a face is hidden, for nobody hid it there."""
    wanted = state.sending.second_view and not state.blurs
    return second_films(submission) if wanted else ()


def key_of_views(submission: LoadedSubmission, state: ReviewState) -> dict[str, Any]:
    """What decides the second rows of a strip; nothing where there are none."""
    plain = plain_state(state)
    views = [of_view(view.laid, plain) for view in sent_with_strips(submission, state)]
    return {"second": views} if views else {}


def with_second_view(
    strip: StrokeStrip,
    stroke: Stroke,
    submission: LoadedSubmission,
    state: ReviewState,
    words: Mapping[str, str],
) -> StrokeStrip:
    """Set what a second camera shows of the same moments over the frames of a strip.

    The first that was running is taken; one that cannot be read costs only itself.
    """
    for view in sent_with_strips(submission, state):
        try:
            with open_film((view.laid,), plain_state(state)) as film:
                frames = second_frames(film, stroke, submission.clock_of(stroke), strip.places)
        except MediaError:
            continue
        if len(frames) >= FEWEST_FRAMES:
            return replace(strip, second=frames, second_words=view.caption(words))
    return strip
