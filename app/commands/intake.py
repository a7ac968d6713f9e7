"""Taking in what an athlete sent, for the commands that begin a review."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.clocks.alignment import Pair
from app.commands.answer import mapping_of
from app.submission.clock import Standing
from app.submission.load import Said, begin
from app.submission.my_defaults import SHIPPED

if TYPE_CHECKING:
    from app.submission.submission import LoadedSubmission

ASSUMED = (
    "Footage and force are assumed to start together, which nobody has checked; give a moment of "
    "both with --pair VIDEO_S:TRACE_S."
)


def take_in(options: argparse.Namespace, review_path: Path) -> LoadedSubmission:
    """Open what was sent and line it up by the pairs that were given.

    Raises
    ------
    ValueError
        One of the modules' own errors: a recording cannot be used, in one sentence.
    """
    named = replace(said_by(options), title=options.title, athlete=options.athlete)
    return begin(options.files, review_path, named)


def said_by(options: argparse.Namespace) -> Said:
    """Give what the options of a command say of its recordings."""
    pairs = tuple(Pair(*moments) for moments in options.pair or ())
    mine = SHIPPED if getattr(options, "shipped_defaults", False) else None
    return Said(pairs=pairs, mapping_of=lambda path: mapping_of(path, options), mine=mine)


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
