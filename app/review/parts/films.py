"""Further films of the piece, each on the clock of the first.

A phone or a messenger cuts a film in parts; a second camera films the same piece from elsewhere.
The first film is the one `Media` names, and its clock is the review's.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final

from app.review.parts.change import Change
from app.review.parts.media import MediaRef
from app.review.values.errors import ReviewError
from app.review.values.items import found, put, without
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready, unique

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

PART_OF_PIECE: Final = "part"
VIEW: Final = "view"
ROLES: Final = (PART_OF_PIECE, VIEW)
# What laid a film where it is: see `analysis/clocks/films.py`.
HOWS: Final = ("sound", "picture", "force", "recorded", "order", "by hand")
MOST_FILMS: Final = 40
FARTHEST_S: Final = 86_400.0  # a piece is rowed within a day


@dataclass(frozen=True)
class FurtherFilm:
    """A film beside the first one.

    Attributes
    ----------
    id : never changes
    ref : where it lies and how to know it again
    offset_s : second of the first film's clock at which its first frame is shown
    uncertainty_s : half width of a 95 % interval of that; None where nobody can say
    how : what laid it there, one of `HOWS`
    role : "part" where it shows another part of the piece, "view" where it is a second view
    """

    id: str
    ref: MediaRef
    offset_s: float
    uncertainty_s: float | None = None
    how: str = "order"
    role: str = PART_OF_PIECE


def new_film(
    ref: MediaRef,
    offset_s: float,
    uncertainty_s: float | None = None,
    how: str = "order",
    role: str = PART_OF_PIECE,
) -> FurtherFilm:
    """Return a film with an id of its own."""
    return FurtherFilm(uuid.uuid4().hex, ref, float(offset_s), uncertainty_s, how, role)


@dataclass(frozen=True)
class Films:
    """The further films of a review, in the order of their beginnings."""

    films: tuple[FurtherFilm, ...] = ()


FILM = Table(
    "film",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "path": "TEXT NOT NULL",
        "size": "INTEGER NOT NULL",
        "sha256": "TEXT NOT NULL",
        "ends_sha256": "TEXT NOT NULL",
        "capture_fps": "REAL",
        "offset_s": "REAL NOT NULL",
        "uncertainty_s": "REAL",
        "how": "TEXT NOT NULL",
        "role": "TEXT NOT NULL",
    },
    ("id",),
    words=("further film", "further films"),
    late=True,
)


def _groups(state: Films) -> Iterable[Group]:
    for place, film in enumerate(state.films):
        ref = film.ref
        row = FILM.row(
            film, place=place, path=ref.path, size=ref.size, sha256=ref.sha256,
            ends_sha256=ref.ends_sha256, capture_fps=ref.capture_fps,
        )  # fmt: skip
        yield ready(film.id, film, (FILM, row), place=place)


def _read(stored: Stored) -> Mapping[str, Any]:
    films = stored.each(FILM, _film, check_film)
    return {"films": in_order(unique(films, lambda f: f.id, "films", stored.lenient))}


def _film(c: Cells) -> FurtherFilm:
    ref = MediaRef(
        "video",
        c.text("path"),
        c.count("size"),
        c.text("sha256"),
        capture_fps=c.number_or_none("capture_fps"),
        ends_sha256=c.text("ends_sha256"),
    )
    return FurtherFilm(
        c.text("id"),
        ref,
        c.number("offset_s"),
        c.number_or_none("uncertainty_s"),
        c.word("how", HOWS),
        c.word("role", ROLES),
    )


def check_film(film: FurtherFilm) -> None:
    """Refuse a film that cannot be laid on the clock of another.

    Raises
    ------
    ReviewError
        It is none, lies a day away, or has no usable path or rate.
    """
    ref = film.ref
    if ref.kind != "video":
        raise ReviewError("A force recording was given where a film belongs.")
    if not abs(film.offset_s) <= FARTHEST_S:
        raise ReviewError("Two films of one piece begin within a day of each other.")
    if film.uncertainty_s is not None and not film.uncertainty_s >= 0.0:
        raise ReviewError("A film cannot lie surer than exactly.")
    if film.how not in HOWS or film.role not in ROLES:
        raise ReviewError("It is not said how a further film belongs to the piece.")
    if ref.size < 0 or not ref.path:
        raise ReviewError("A further film has no usable path or size.")
    if ref.capture_fps is not None and not ref.capture_fps > 0:
        raise ReviewError("A film was recorded at more than 0 frames per second.")


def _check(state: Films) -> None:
    if len(state.films) > MOST_FILMS:
        raise ReviewError(f"A review has at most {MOST_FILMS} further films: leave some out.")
    if len({film.id for film in state.films}) != len(state.films):
        raise ReviewError("Two films share one id.")
    for film in state.films:
        check_film(film)


def _retime(state: Films, by: float) -> Mapping[str, Any]:
    return {"films": tuple(replace(f, offset_s=f.offset_s * by) for f in state.films)}


PART = declare(Part(Films, (FILM,), _groups, _read, _check, _retime))


def in_order(films: Iterable[FurtherFilm]) -> tuple[FurtherFilm, ...]:
    """The films as they follow each other."""
    return tuple(sorted(films, key=lambda film: (film.offset_s, film.id)))


@dataclass(frozen=True)
class AddFilms(Change):
    """Lay further films beside the first; see `new_film`."""

    films: tuple[FurtherFilm, ...]
    label: ClassVar[str] = "add a film"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with them."""
        if state.video is None:
            raise ReviewError("There is no film yet that another could be laid beside.")
        held = {state.video.sha256, *(film.ref.sha256 for film in state.films)}
        for film in self.films:
            if film.ref.sha256 in held:
                name = film.ref.path.replace("\\", "/").rsplit("/", 1)[-1]
                raise ReviewError(f"{name} is a film of this review already; nothing was added.")
            held.add(film.ref.sha256)
        return replace(state, films=in_order((*state.films, *self.films)))


@dataclass(frozen=True)
class RemoveFilm(Change):
    """Take a further film out of the review; the file stays where it is."""

    film_id: str
    label: ClassVar[str] = "remove a film"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without it."""
        return replace(state, films=without(state.films, find_film(state, self.film_id)))


@dataclass(frozen=True)
class RefindFilm(Change):
    """Say where a further film lies now."""

    film_id: str
    ref: MediaRef
    label: ClassVar[str] = "find a film"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with it there."""
        film = replace(find_film(state, self.film_id), ref=self.ref)
        return replace(state, films=put(state.films, film))


@dataclass(frozen=True)
class PlaceFilm(Change):
    """Lay a further film elsewhere on the clock of the first."""

    film_id: str
    offset_s: float
    label: ClassVar[str] = "move a film"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with it there, by hand: how sure that is nobody can say."""
        film = find_film(state, self.film_id)
        moved = replace(film, offset_s=float(self.offset_s), uncertainty_s=None, how="by hand")
        return replace(state, films=in_order(put(state.films, moved)))


def find_film(state: ReviewState, film_id: str) -> FurtherFilm:
    """Return the film with an id; raises ReviewError when it is gone."""
    return found(state.films, film_id, "That film is no longer there")


def views_of_piece(state: Films) -> tuple[FurtherFilm, ...]:
    """The films that show the piece from elsewhere."""
    return tuple(film for film in state.films if film.role == VIEW)


def all_recordings(state: ReviewState) -> tuple[MediaRef, ...]:
    """Every recording a review names: its first film, the further ones, its force."""
    films = (film.ref for film in state.films)
    return tuple(ref for ref in (state.video, *films, state.trace) if ref is not None)
