"""Taking in what an athlete sent: named, put together, and what there is to say about that."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analysis.clocks.alignment import ROUGH, Pair
from app.commands.answer import mapping_of, progress
from app.submission.clock import Standing
from app.submission.load import Said
from app.submission.my_defaults import SHIPPED
from app.submission.together import Judged, Together, begin_together

if TYPE_CHECKING:
    from analysis.force.trace import ColumnMapping
    from app.submission.submission import LoadedSubmission

ASSUMED = (
    "Footage and force are assumed to start together, which nobody has checked; give a moment of "
    "both with --pair VIDEO_S:TRACE_S."
)
NOT_LINED_UP = (
    "Footage and force show nothing in common, so it is not known when the footage shows a "
    "finding; give a moment of both with --pair VIDEO_S:TRACE_S."
)
NOT_TOGETHER = (
    "Footage and force do not keep step: probably another piece. The force was not laid under the "
    "film; if they are of one piece, give a moment of both with --pair VIDEO_S:TRACE_S."
)
UNPROVEN = (
    "Footage and force may not be of one piece: what keeps step is too little, or too even, to "
    "tell. The force was not laid under the film; if they are, give a moment of both with --pair "
    "VIDEO_S:TRACE_S."
)
AMBIGUOUS = (
    "The line-up of footage and force is not sure: another stroke, or none, may fit as well; look "
    "before you trust the times of the footage."
)
SLOW = (
    "The footage runs {times:.3g} times slower than life; its times are those of the footage as "
    "it plays."
)
_LEFT_OUT = {
    "nothing in common": NOT_LINED_UP, "not together": NOT_TOGETHER, "unproven": UNPROVEN,
}  # fmt: skip


def take_in(
    options: argparse.Namespace,
    files: Sequence[Path],
    review_path: Path | None,
    *,
    lines_up: bool = True,
    made: Path | None = None,
) -> Together:
    """Open what was sent, lay its films on one clock, and line up its force.

    Parameters
    ----------
    lines_up : False where footage and force without a pair stay as they are
    made : a force file among them that was made here, and needs no mapping

    Raises
    ------
    ValueError
        One of the modules' own errors: a recording cannot be used, in one sentence.
    """
    said = said_by(options, made)
    return begin_together(files, review_path, said, progress(), lines_up=lines_up)


def said_by(options: argparse.Namespace, made: Path | None = None) -> Said:
    """Give what the options of a command say of its recordings; a file made here says it itself."""
    pairs = tuple(Pair(*moments) for moments in options.pair or ())
    mine = SHIPPED if getattr(options, "shipped_defaults", False) else None

    def reads(path: Path) -> ColumnMapping | None:
        return None if path == made else mapping_of(path, options)

    said = Said(pairs=pairs, mapping_of=reads, mine=mine)
    title, athlete = getattr(options, "title", ""), getattr(options, "athlete", "")
    return replace(said, title=title, athlete=athlete)


def remember(sent: LoadedSubmission) -> None:
    """Keep that somebody named these files for a review on this machine."""
    from app.commands.recordings import access

    for part in sent.recordings:
        if part.path is not None:
            access().chose(sent.review_path, part.ref, part.path)


def said_of(sent: LoadedSubmission) -> tuple[str, ...]:
    """Give what there is to say about a submission, to whoever called the command."""
    said = tuple(remark.said for remark in sent.noticed if remark.said)
    if sent.film is None or sent.piece is None or sent.clock.standing is not Standing.ASSUMED:
        return said
    return (*said, ASSUMED)


def said_of_draft(together: Together) -> tuple[str, ...]:
    """What there is to say about a submission that was put together where nobody looks."""
    sent, judged = together.sent, together.judged
    said = (*said_of(sent), *together.films_said)
    if judged is None or sent.piece is None or sent.state.pairs:
        return said
    if judged.outcome in ("not together", "unproven"):
        # That both are assumed to start together is no longer so where they are not of one piece.
        return (*(one for one in said if one != ASSUMED), _LEFT_OUT[judged.outcome])
    return said if judged.alignment is None else (*said, *said_of_line_up(judged))


def said_of_line_up(judged: Judged) -> tuple[str, ...]:
    """What there is to say about how the force lies under the films."""
    found, alignment = judged.found, judged.alignment
    if found is None or alignment is None:
        return (_LEFT_OUT[judged.outcome],)
    said: tuple[str, ...] = (AMBIGUOUS,) if alignment.ambiguous else ()
    if found.sides or alignment.is_partial:
        from analysis.clocks.cuts import said_of_sides

        said += (said_of_sides(found),)
    if alignment.is_rough:
        said += (ROUGH.format(how_sure=alignment.how_sure),)
    if found.slow_motion != 1.0:
        said += (SLOW.format(times=found.slow_motion),)
    return said


def films_data(together: Together | Judged | None) -> list[dict[str, Any]]:
    """The further films as an answer gives them, in the order of their beginnings."""
    judged = together.judged if isinstance(together, Together) else together
    return [
        {
            "film": str(film.path),
            "offset_s": film.place.offset_s,
            "uncertainty_s": film.place.uncertainty_s,
            "how": film.place.how,
            "role": film.role,
            "sure": film.place.sure,
        }
        for film in (() if judged is None else judged.films)
    ]
