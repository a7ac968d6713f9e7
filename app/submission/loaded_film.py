"""A film of a submission: where it lies, and what is known of it without showing it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from app.review.parts.media import MediaRef
from app.submission.remarks import Remark

if TYPE_CHECKING:
    from app.media.video import VideoFile
    from app.review.parts.films import FurtherFilm
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class FilmFacts:
    """What is known of a film without showing it.

    Attributes
    ----------
    duration_s : on the clock of the review: real seconds where a capture rate was told
    fps : frames a second on that clock
    width, height : pixels, upright
    """

    duration_s: float
    fps: float
    width: int
    height: int
    has_sound: bool

    @classmethod
    def of(cls, video: VideoFile) -> FilmFacts:
        """Take them from an open film."""
        return cls(video.duration_s, video.fps, video.width, video.height, video.has_sound)


@dataclass(frozen=True)
class LoadedFilm:
    """A film of a submission.

    Attributes
    ----------
    path : on this machine, None where it is missing or may not be used
    missing : why it is not at hand, None where it is
    film_id : of a further film, that of the review; "" for the first
    starts_s : where its first frame stands on the clock of the first film
    known : its facts, where they are known already
    noticed : what else there is to say about it
    """

    ref: MediaRef
    path: Path | None = None
    missing: Remark | None = None
    known: FilmFacts | None = None
    noticed: tuple[Remark, ...] = ()
    film_id: str = ""
    starts_s: float = 0.0
    role: str = "part"

    @classmethod
    def further(cls, film: FurtherFilm, path: Path | None, missing: Remark | None) -> LoadedFilm:
        """A further film of a review, as far as it is at hand."""
        return cls(film.ref, path, missing, film_id=film.id, starts_s=film.offset_s, role=film.role)

    @cached_property
    def facts(self) -> FilmFacts | None:
        """Its facts, None where it is missing; opened once for them and closed again.

        Raises
        ------
        MediaError
            It cannot be shown; the message says why.
        """
        if self.known is not None or self.path is None:
            return self.known
        return film_facts(self.path, self.ref.capture_fps)

    def named(self, ref: MediaRef) -> LoadedFilm:
        """The same film as the review names it now; at another rate its facts are others."""
        if ref == self.ref:
            return self
        known = self.known if ref.capture_fps == self.ref.capture_fps else None
        return replace(self, ref=ref, known=known)


def films_in(state: ReviewState, films: tuple[LoadedFilm, ...]) -> tuple[LoadedFilm, ...]:
    """The films as the review names them now; those it no longer names are gone."""
    first = tuple(film.named(state.video or film.ref) for film in films[:1])
    held = {film.film_id: film for film in films[1:]}
    further = (
        replace(held[f.id].named(f.ref), starts_s=f.offset_s, role=f.role)
        for f in state.films
        if f.id in held
    )
    return (*first, *further)


def film_facts(path: Path, capture_fps: float | None = None) -> FilmFacts:
    """Open a film for its facts and close it again.

    Parameters
    ----------
    capture_fps : the rate a slow-motion recording was made at; times are then real seconds

    Raises
    ------
    MediaError
        It cannot be shown; the message says why.
    """
    from app.media.video import VideoFile

    with VideoFile.open(path, capture_fps=capture_fps) as video:
        return FilmFacts.of(video)
