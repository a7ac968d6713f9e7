"""What an athlete sent of one piece, put together: its films on one clock, its force under them.

The one place where footage and force are lined up without anybody looking: commands, drafts and
batches ask it, and leave out alike what hardly belongs together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from analysis.clocks.cuts_of_films import with_cuts
from analysis.clocks.films import FilmFacts, line_up_of_films
from analysis.clocks.keeping_step import MOST_NONE
from app.review.parts.films import AddFilms, FurtherFilm, in_order, new_film
from app.submission.copies import without_copies
from app.submission.load import Said, SubmissionError, begin_with, refer_to, sorted_recordings
from app.submission.loaded_film import LoadedFilm
from app.submission.submission import LoadedSubmission

if TYPE_CHECKING:
    from analysis.clocks.alignment import Alignment
    from analysis.clocks.matching import LineUp
    from analysis.force.piece import PieceAnalysis
    from app.submission.laying import PlacedFilm, Progress

Outcome = Literal["lined up", "nothing in common", "not together", "unproven"]


@dataclass(frozen=True)
class Judged:
    """What lining up films and force of a piece came to.

    Attributes
    ----------
    found : how the force lies under the films, on the clock of the first; None where they show
        nothing in common, or there is no force
    films : the further films, each where it begins on that clock
    why_not : why there is nothing in common, where that is known
    """

    found: LineUp | None
    films: tuple[PlacedFilm, ...] = ()
    why_not: str = ""

    @property
    def outcome(self) -> Outcome:
        """Whether the force may be laid under the films where nobody looks, and if not, why."""
        found = self.found
        if found is None:
            return "nothing in common"
        if found.verdict == "not together":
            return "not together"
        if found.verdict != "lined up" and found.step.none >= MOST_NONE:
            return "unproven"
        return "lined up"

    @property
    def alignment(self) -> Alignment | None:
        """The line-up to be kept where nobody looks; None where none may be."""
        return self.found.alignment if self.found and self.outcome == "lined up" else None


def judge_films(
    films: Sequence[Path],
    piece: PieceAnalysis | None,
    slow_motion: float | None = None,
    progress: Progress | None = None,
) -> Judged:
    """Lay films on the clock of the first, and the force under them.

    Parameters
    ----------
    films : the first is the one whose clock counts
    slow_motion : how many times slower than life they run, where it is known

    Raises
    ------
    MediaError
        One of them cannot be read.
    """
    from analysis.clocks.matching import why_no_film
    from app.submission.laying import facts_of, placed

    facts: list[FilmFacts] = []
    trace, strokes = (None, ()) if piece is None else (piece.trace, piece.strokes)
    why_not = "" if trace is None else why_no_film(trace, strokes)
    if why_not and len(films) == 1:
        return Judged(None, why_not=why_not)  # nothing it may show could change that
    for at, path in enumerate(films):

        def share(done: float, at: int = at) -> None:
            if progress is not None:
                progress((at + done) / len(films), "Lining up")

        facts.append(facts_of(path, trace, strokes, slow_motion, share))
    others = placed(films, facts) if len(films) > 1 else ()
    over = {path: fact.line_up for path, fact in zip(films, facts, strict=True)}
    found = line_up_of_films(facts[0].line_up, [(f.place, over[f.path]) for f in others])
    if found is not None and found is facts[0].line_up and found.verdict == "lined up":
        parts = [(f.place, f.length_s, over[f.path]) for f in others if f.role == "part"]
        found = replace(found, alignment=with_cuts(found.alignment, parts))
    return Judged(found, others, "" if found else facts[0].why_not)


@dataclass(frozen=True, eq=False)
class Together:
    """A submission of one or several films with its force, put together as far as that goes.

    Attributes
    ----------
    sent : nothing is laid under the film in it that hardly belongs there
    judged : what lining up came to; None where nothing had to be found out
    left_out : films that were sent twice, a sentence each
    """

    sent: LoadedSubmission
    judged: Judged | None = None
    left_out: tuple[str, ...] = ()

    @cached_property
    def films_said(self) -> tuple[str, ...]:
        """Which was left out, and where each further one lies and how sure that is."""
        films = () if self.judged is None else self.judged.films
        return (*self.left_out, *(film.said for film in films))


def begin_together(
    files: Sequence[Path],
    review_path: Path | None,
    said: Said,
    progress: Progress | None = None,
    *,
    lines_up: bool = True,
    only_sure: bool = False,
) -> Together:
    """Open what was sent of one piece, lay its films on one clock and line up its force.

    Parameters
    ----------
    review_path : where its review will lie; None where none will
    lines_up : False where footage and force stay as they are without a pair
    only_sure : leave out films of which nothing tells for sure where they belong

    Raises
    ------
    ValueError
        One of the modules' own errors: a recording cannot be used, in one sentence.
    """
    named, trace = sorted_recordings(files)
    refuse_twins(named)
    videos, left_out = without_copies(named) if len(named) > 1 else (named, ())
    sent = begin_with(next(iter(videos), None), trace, review_path, said)
    wants_line_up = lines_up and sent.piece is not None and not said.pairs
    if sent.video_path is None or not (videos[1:] or wants_line_up):
        return Together(sent, None, left_out)
    judged = judge_films(videos, sent.piece, None, progress)
    sure = [film for film in judged.films if film.place.sure or not only_sure]
    sent = with_films(sent, sure, None if review_path is None else sent.review_path)
    if wants_line_up and judged.alignment is not None:
        sent = sent.in_state(replace(sent.state, alignment=judged.alignment))
    return Together(sent, judged, left_out)


def with_films(
    sent: LoadedSubmission, films: Sequence[PlacedFilm], review_path: Path | None
) -> LoadedSubmission:
    """Add placed films to a submission that is begun.

    Raises
    ------
    ReviewError
        One of them is in it already.
    """
    made = [(film, further_film(film, review_path)) for film in films]
    if not made:
        return sent
    added = tuple(further for _film, further in made)
    if review_path is None:  # nothing was read whole, so nothing says whether two are one
        state = replace(sent.state, films=in_order(added))
    else:
        state = AddFilms(added).apply(sent.state)
    path_of = {further.id: film.path for film, further in made}
    loaded = tuple(LoadedFilm.further(f, path_of[f.id], None) for f in state.films)
    return replace(sent, state=state, films=(*sent.films[:1], *loaded))


def further_film(film: PlacedFilm, review_path: Path | None) -> FurtherFilm:
    """A placed film as a review names it."""
    at = film.place
    ref = refer_to(film.path, "video", review_path)
    return new_film(ref, at.offset_s, at.uncertainty_s, at.how, film.role)


def refuse_twins(videos: Sequence[Path]) -> None:
    """Refuse a film that is named twice.

    Raises
    ------
    SubmissionError
        One is.
    """
    seen: set[Path] = set()
    for path in videos:
        if path.resolve() in seen:
            raise SubmissionError(
                f"{path.name} was named twice; nothing was written: name it once."
            )
        seen.add(path.resolve())
