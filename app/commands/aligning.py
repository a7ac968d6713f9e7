"""The command `align`."""

from __future__ import annotations

import argparse
from typing import Final

from app.commands.answer import Answer, CommandError, progress, read_piece

IF_THEY_ARE: Final = (
    " If they are of one piece, mark the same catch in the picture and on the trace."
)
NOTHING: Final = (
    "Footage and force show no strokes in common; the line-up was left as it was. "
    "Check that both are of the same piece, or mark a catch in both."
)


def align(options: argparse.Namespace) -> Answer:
    """Line up footage and force by what both show of the same strokes."""
    from analysis.clocks.alignment import NOT_TOGETHER
    from analysis.clocks.matching import why_no_film
    from app.commands.intake import films_data
    from app.commands.tables import line_up_data, line_up_text
    from app.submission.copies import without_copies
    from app.submission.kinds import FILM_ENDINGS
    from app.submission.named import recordings_of
    from app.submission.together import judge_films, refuse_twins

    piece = read_piece(options.trace, options)
    if why_not := why_no_film(piece.trace, piece.strokes):
        raise CommandError(why_not)
    with recordings_of(options.video, None) as named:
        # What was named is meant as footage, whatever it is; of a folder the films are.
        films = [p for p in named if p in options.video or p.suffix.lower() in FILM_ENDINGS]
        if not films:
            raise CommandError("There is no footage in what was named; name a film.")
        refuse_twins(films)
        kept, left_out = without_copies(films) if len(films) > 1 else (films, ())
        judged = judge_films(kept, piece, options.slow_motion, progress())
    found = judged.found
    if found is None:
        raise CommandError(judged.why_not or NOTHING)
    if found.verdict == "not together":
        raise CommandError(NOT_TOGETHER + IF_THEY_ARE)
    said = [line_up_text(found), *left_out, *(film.said for film in judged.films)]
    return Answer({**line_up_data(found), "films": films_data(judged)}, "\n".join(said))
