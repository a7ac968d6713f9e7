"""The one loader: from a review to the submission it is about, or from files to a new one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.clocks.alignment import Alignment, Pair, align_by_pairs
from analysis.force.trace import ColumnMapping, TraceError
from app.review.parts.about import SetAthlete
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.review.recordings import STRANGER, RecordingAccess, name_of, refer
from app.review.recordings.fingerprint import no_recording
from app.review.values.errors import ReviewError
from app.submission.body import body_of
from app.submission.kinds import FILM_ENDINGS, Kind, kind_of
from app.submission.loaded_film import FilmFacts, LoadedFilm, film_facts
from app.submission.looking import look_for
from app.submission.my_defaults import MyDefaults, read_defaults
from app.submission.pieces import piece_of
from app.submission.refusals import refusal_of
from app.submission.remarks import Remark
from app.submission.submission import LoadedForce, LoadedSubmission

if TYPE_CHECKING:
    from analysis.force.piece import PieceAnalysis

Cancelled = Callable[[], bool]
Progress = Callable[[float, str], None]


class SubmissionError(ValueError):
    """Files that make no submission. The message is one sentence for the user."""


def load(
    state: ReviewState,
    review_path: Path,
    *,
    access: RecordingAccess = STRANGER,
    wording: Path | None = None,
    mine: MyDefaults | None = None,
    search: bool = False,
    quick: bool = False,
    with_body: bool = True,
    cancelled: Cancelled | None = None,
    progress: Progress | None = None,
) -> LoadedSubmission:
    """Find, compare and read what a review is about; what is missing is a remark, not an error.

    Parameters
    ----------
    access : what may be read on this machine; what lies elsewhere counts as missing
    wording : the coach's own wording of the findings; None for that of `mine`
    mine : what the coach settled for all reviews; None for what this user did
    search : look for what moved by its content, in the review's folder
    quick : take a recording that nothing speaks against; whoever asks compares it whole afterwards
    with_body : work out what was followed of the body; False for whoever does it afterwards
    cancelled : asked while a recording is compared
    progress : called with a share from 0 to 1 and what is being read

    Raises
    ------
    ReviewError
        The comparing was stopped.
    """
    review_path = Path(review_path)
    films: list[LoadedFilm] = []
    forces: list[LoadedForce] = []
    refs = _recordings(state)
    for at, ref in enumerate(refs):
        if progress is not None:
            progress(at / len(refs), f"Reading {name_of(ref.path)}")
        found = look_for(ref, review_path, access, cancelled, search, quick)
        missing = found.remark if found.path is None else None
        said = () if found.path is None or found.remark is None else (found.remark,)
        if ref.kind == "video":
            films.append(LoadedFilm(ref, found.path, missing, noticed=said))
        elif found.path is None:
            forces.append(LoadedForce(ref, missing=missing))
        else:
            forces.append(_read_force(ref, found.path, said))
    if films:
        films += further_films(state, review_path, access, cancelled, search, quick)
    body = None
    try:
        body = body_of(state) if with_body else None
    except ReviewError as error:
        films = [replace(f, noticed=(*f.noticed, Remark("body", str(error)))) for f in films]
    settled = read_defaults() if mine is None else mine
    return LoadedSubmission(state, review_path, tuple(films), tuple(forces), wording, body, settled)


def further_films(
    state: ReviewState,
    review_path: Path,
    access: RecordingAccess = STRANGER,
    cancelled: Cancelled | None = None,
    search: bool = False,
    quick: bool = False,
) -> tuple[LoadedFilm, ...]:
    """Find the films a review names beside its first; as `load`."""
    found = []
    for film in state.films:
        place = look_for(film.ref, review_path, access, cancelled, search, quick)
        missing = place.remark if place.path is None else None
        found.append(LoadedFilm.further(film, place.path, missing))
    return tuple(found)


def _read_force(ref: MediaRef, path: Path, said: tuple[Remark, ...]) -> LoadedForce:
    """Read a force recording of a review, with what there is to say about it."""
    try:
        piece = piece_of(path, ref.mapping)
    except (TraceError, OSError) as error:
        why = Remark("unreadable_trace", str(error), error)
        return LoadedForce(ref, path, missing=why, noticed=said)
    return LoadedForce(ref, path, piece, noticed=(*said, *_about(piece)))


@dataclass(frozen=True)
class Said:
    """What the coach says of a new submission.

    Attributes
    ----------
    pairs : moments of both clocks, marked by hand
    mapping_of : how the columns of a force file are to be read; None to go by its header
    wording : the coach's own wording of the findings; None for that of `mine`
    mine : what the coach settled for all reviews; None for what this user did
    """

    title: str = ""
    athlete: str = ""
    pairs: tuple[Pair, ...] = ()
    mapping_of: Callable[[Path], ColumnMapping | None] = lambda path: None
    wording: Path | None = None
    mine: MyDefaults | None = None


def begin(files: Sequence[Path], review_path: Path, said: Said | None = None) -> LoadedSubmission:
    """Open what was sent, in whichever order it is named; no review is written.

    Parameters
    ----------
    review_path : where its review will lie

    Raises
    ------
    ValueError
        One of the modules' own errors: a recording cannot be used, in one sentence.
    """
    videos, trace = sorted_recordings(files)
    if len(videos) > 1:
        raise SubmissionError(
            f"{videos[0].name} and {videos[1].name} are both footage; nothing was opened: one film "
            "begins a review, the others are laid beside it."
        )
    return begin_with(next(iter(videos), None), trace, review_path, said or Said())


def sorted_recordings(files: Sequence[Path]) -> tuple[tuple[Path, ...], Path | None]:
    """Tell footage and force apart, in whichever order they are named; films stay in theirs.

    Raises
    ------
    SubmissionError
        One of them is neither, or there are several force recordings.
    """
    for path in files:
        if path.exists() and not path.is_file() and not path.is_dir():
            raise no_recording(path)
        if refused := refusal_of(path):
            raise SubmissionError(refused)
    return _sorted(files)


def begin_with(
    video: Path | None, trace: Path | None, review_path: Path | None, said: Said
) -> LoadedSubmission:
    """Open footage and force, and line them up by the pairs that were given.

    Parameters
    ----------
    review_path : where its review will lie; None where none will: nothing is read whole then
        that need not be

    Raises
    ------
    ValueError
        As `begin`.
    """
    forces = () if trace is None else (begin_force(trace, review_path, said.mapping_of(trace)),)
    films = () if video is None else (begin_film(video, review_path, film_facts(video)),)
    mine = read_defaults() if said.mine is None else said.mine
    named = SetAthlete(said.athlete, said.title).apply(mine.begun(ReviewState()))
    state = replace(
        named,
        video=films[0].ref if films else None,
        trace=forces[0].ref if forces else None,
        alignment=_line_up(said.pairs, films, forces),
        pairs=said.pairs,
    )
    place = review_path or Path()
    return LoadedSubmission(state, place, films, forces, said.wording, mine=mine)


def begin_film(path: Path, review_path: Path | None, facts: FilmFacts) -> LoadedFilm:
    """Take in a film that can be shown: what cannot is refused before it is read whole."""
    return LoadedFilm(refer_to(path, "video", review_path), path, known=facts)


def begin_force(
    path: Path, review_path: Path | None, mapping: ColumnMapping | None = None
) -> LoadedForce:
    """Read a force recording for a new review.

    Raises
    ------
    TraceError
        It cannot be used; `MappingNeeded` where it does not say how to read it.
    """
    piece = piece_of(path, mapping)
    known = None if piece.trace.intake is None else piece.trace.intake.mapping
    ref = refer_to(path, "trace", review_path, known)
    return LoadedForce(ref, path, piece, noticed=_about(piece))


def _recordings(state: ReviewState) -> tuple[MediaRef, ...]:
    return tuple(ref for ref in (state.video, state.trace) if ref is not None)


def _about(piece: PieceAnalysis) -> tuple[Remark, ...]:
    """What a force recording brought up while it was read."""
    intake = piece.trace.intake
    said = () if intake is None else tuple(Remark("intake", text) for text in intake.remarks)
    return said if piece.by_time is not None else (*said, Remark("no_whole_stroke"))


def _sorted(files: Sequence[Path]) -> tuple[tuple[Path, ...], Path | None]:
    """Return footage and force, in whichever order they were given."""
    kinds = [kind_of(path) for path in files]
    videos = [path for path, kind in zip(files, kinds, strict=True) if kind == "video"]
    traces = [path for path, kind in zip(files, kinds, strict=True) if kind == "trace"]
    if len(traces) > 1:
        raise SubmissionError(
            f"{traces[0].name} and {traces[1].name} both look like force recordings; give footage "
            "and one force recording."
        )
    if len(videos) == 2 and not traces and _is_no_film_name(videos[1]):
        # The second was meant as force, and reading it says what is wrong.
        return (videos[0],), videos[1]
    return tuple(videos), traces[0] if traces else None


def _is_no_film_name(path: Path) -> bool:
    return path.suffix.lower() not in FILM_ENDINGS


def refer_to(
    path: Path, kind: Kind, review_path: Path | None, mapping: ColumnMapping | None = None
) -> MediaRef:
    """Name a recording as its review will; where there will be none it is not read whole."""
    if review_path is None:
        return MediaRef(kind, path.name, path.stat().st_size, "", mapping)
    return refer(path, kind, review_path, mapping)


def _line_up(
    pairs: tuple[Pair, ...], films: Sequence[LoadedFilm], forces: Sequence[LoadedForce]
) -> Alignment:
    facts = films[0].facts if films else None
    piece = forces[0].piece if forces else None
    if not pairs or facts is None or piece is None:
        return Alignment()
    return align_by_pairs(pairs, 1.0 / facts.fps, piece.trace.interval_s)
