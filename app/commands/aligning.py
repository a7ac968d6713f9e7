"""The command `align`."""

from __future__ import annotations

import argparse
from functools import partial
from typing import Final

from app.commands.answer import Answer, CommandError, mapping_of, progress, read_piece

IF_THEY_ARE: Final = (
    " If they are of one piece, mark the same catch in the picture and on the trace."
)
NOTHING: Final = (
    "Footage and force show no strokes in common; the line-up was left as it was. "
    "Check that both are of the same piece, or mark a catch in both."
)

NO_FILM: Final = "There is no footage in what was named; name a film."


def align(options: argparse.Namespace) -> Answer:
    """Line up footage and force by what both show of the same strokes."""
    from analysis.clocks.alignment import NOT_TOGETHER
    from analysis.clocks.matching import why_no_film
    from app.commands.intake import films_data
    from app.commands.tables import line_up_data, line_up_text
    from app.submission.copies import without_copies
    from app.submission.joined import joined_forces
    from app.submission.kinds import FILM_ENDINGS, is_trace_name
    from app.submission.named import recordings_of
    from app.submission.pieces import piece_of
    from app.submission.together import judge_films, refuse_twins

    # A force cut in two stands where further films do: what its name calls a table is joined.
    # A .zip is looked into with the films: it holds what a phone has packed.
    tables = [p for p in options.video if is_trace_name(p) and p.suffix.lower() != ".zip"]
    named_films = [path for path in options.video if path not in tables]
    if not named_films:
        raise CommandError(NO_FILM)
    reads = partial(mapping_of, options=options)
    with joined_forces((*tables, options.trace), None, reads) as forces:
        force = forces.files[0]
        piece = piece_of(force) if force == forces.made else read_piece(force, options)
    if why_not := why_no_film(piece.trace, piece.strokes):
        raise CommandError(why_not)
    with recordings_of(named_films, None) as named:
        # What was named is meant as footage, whatever it is; of a folder the films are.
        films = [p for p in named if p in named_films or p.suffix.lower() in FILM_ENDINGS]
        if not films:
            raise CommandError(NO_FILM)
        refuse_twins(films)
        kept, left_out = without_copies(films) if len(films) > 1 else (films, ())
        judged = judge_films(kept, piece, options.slow_motion, progress())
    found = judged.found
    if found is None:
        raise CommandError(judged.why_not or NOTHING)
    if found.verdict == "not together":
        raise CommandError(NOT_TOGETHER + IF_THEY_ARE)
    joined = (forces.said,) if forces.said else ()
    said = [line_up_text(found), *joined, *left_out, *(film.said for film in judged.films)]
    return Answer({**line_up_data(found), "films": films_data(judged)}, "\n".join(said))
