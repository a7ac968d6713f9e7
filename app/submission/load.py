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
from app.submission.kinds import Kind, kind_of
from app.submission.looking import look_for
from app.submission.pieces import piece_of
from app.submission.remarks import Remark
from app.submission.submission import (
    LoadedFilm,
    LoadedForce,
    LoadedSubmission,
    film_facts,
)

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
    search: bool = False,
    cancelled: Cancelled | None = None,
    progress: Progress | None = None,
) -> LoadedSubmission:
    """Find, compare and read what a review is about; what is missing is a remark, not an error.

    Parameters
    ----------
    access : what may be read on this machine; what lies elsewhere counts as missing
    wording : the coach's own wording of the findings; None for the file of this user
    search : look for what moved by its content, in the review's folder
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
    noticed: list[Remark] = []
    refs = _recordings(state)
    for at, ref in enumerate(refs):
        if progress is not None:
            progress(at / len(refs), f"Reading {name_of(ref.path)}")
        found = look_for(ref, review_path, access, cancelled, search)
        missing = found.remark if found.path is None else None
        noticed += [] if found.remark is None else [found.remark]
        if ref.kind == "video":
            films.append(LoadedFilm(ref, found.path, missing))
        elif found.path is None:
            forces.append(LoadedForce(ref, missing=missing))
        else:
            force, said = read_force(ref, found.path)
            forces.append(force)
            noticed += said
    return LoadedSubmission(
        state, review_path, tuple(films), tuple(forces), tuple(noticed), wording
    )


def read_force(ref: MediaRef, path: Path) -> tuple[LoadedForce, tuple[Remark, ...]]:
    """Read a force recording of a review, with what there is to say about it."""
    try:
        piece = piece_of(path, ref.mapping)
    except (TraceError, OSError) as error:
        said = Remark("unreadable_trace", str(error), error)
        return LoadedForce(ref, path, missing=said), (said,)
    return LoadedForce(ref, path, piece), _about(piece)


def of_piece(state: ReviewState, piece: PieceAnalysis | None) -> LoadedSubmission:
    """Give the submission of a piece that is at hand, without looking for any file."""
    place = Path()
    films = () if state.video is None else (LoadedFilm(state.video),)
    if piece is None:
        return LoadedSubmission(state, place, films)
    ref = state.trace or MediaRef("trace", "force", 0, "")
    return LoadedSubmission(state, place, films, (LoadedForce(ref, None, piece),))


@dataclass(frozen=True)
class Said:
    """What the coach says of a new submission.

    Attributes
    ----------
    title : of the review; the first file's name where it is empty
    pairs : moments of both clocks, marked by hand
    mapping_of : how the columns of a force file are to be read; None to go by its header
    wording : the coach's own wording of the findings; None for the file of this user
    """

    title: str = ""
    athlete: str = ""
    pairs: tuple[Pair, ...] = ()
    mapping_of: Callable[[Path], ColumnMapping | None] = lambda path: None
    wording: Path | None = None


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
    for path in files:
        if path.exists() and not path.is_file() and not path.is_dir():
            raise no_recording(path)
    said = said or Said()
    video, trace = _sorted(files)
    return begin_with(video, trace, review_path, replace(said, title=said.title or files[0].stem))


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
    forces = () if trace is None else (_begun_force(trace, review_path, said),)
    films = () if video is None else (_begun_film(video, review_path),)
    named = SetAthlete(said.athlete, said.title).apply(ReviewState())
    state = ReviewState(
        title=named.title,
        athlete=named.athlete,
        video=films[0].ref if films else None,
        trace=forces[0].ref if forces else None,
        alignment=_line_up(said.pairs, films, forces),
        pairs=said.pairs,
    )
    noticed = [remark for force in forces if force.piece for remark in _about(force.piece)]
    return LoadedSubmission(
        state, review_path or Path(), films, forces, tuple(noticed), said.wording
    )


def _recordings(state: ReviewState) -> tuple[MediaRef, ...]:
    return tuple(ref for ref in (state.video, state.trace) if ref is not None)


def _about(piece: PieceAnalysis) -> tuple[Remark, ...]:
    """What a force recording brought up while it was read."""
    intake = piece.trace.intake
    said = () if intake is None else tuple(Remark("intake", text) for text in intake.remarks)
    return said if piece.by_time is not None else (*said, Remark("no_whole_stroke"))


def _sorted(files: Sequence[Path]) -> tuple[Path | None, Path | None]:
    """Return footage and force, in whichever order they were given."""
    kinds = [kind_of(path) for path in files]
    if len(files) == 1:
        return (files[0], None) if kinds[0] == "video" else (None, files[0])
    if kinds == ["trace", "trace"]:
        raise SubmissionError(
            f"{files[0].name} and {files[1].name} both look like force recordings; give footage "
            "and one force recording."
        )
    # Two that look like footage: the second was meant as force, and reading it says what is wrong.
    return (files[1], files[0]) if kinds == ["trace", "video"] else (files[0], files[1])


def _begun_film(path: Path, review_path: Path | None) -> LoadedFilm:
    facts = film_facts(path)  # what cannot be shown is refused before it is read whole
    return LoadedFilm(_ref(path, "video", review_path), path, known=facts)


def _begun_force(path: Path, review_path: Path | None, said: Said) -> LoadedForce:
    piece = piece_of(path, said.mapping_of(path))
    intake = piece.trace.intake
    mapping = None if intake is None else intake.mapping
    return LoadedForce(_ref(path, "trace", review_path, mapping), path, piece)


def _ref(
    path: Path, kind: Kind, review_path: Path | None, mapping: ColumnMapping | None = None
) -> MediaRef:
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
