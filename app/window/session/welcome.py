"""What is said when a review or a recording has been opened."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.window.session.footage import Footage
from app.window.session.loading import Opened
from app.window.session.quick_look import look_at
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages


def welcome(
    opened: Opened,
    name: str,
    on_bench: Callable[[], Footage | None],
    doubt: Callable[[Sequence[object], Sequence[str]], None],
    jobs: Jobs,
    messages: Messages,
) -> None:
    """Say what was found, what is missing, or only that the review is open.

    Parameters
    ----------
    name : of the review's file, "" where there is none
    on_bench : the film that lies there then
    doubt : asks about recordings in doubt, with what there is to say besides
    """
    found, doubts = opened.found, opened.submission.doubts
    if doubts:
        doubt(doubts, (*found, *opened.problems))
        return
    if opened.problems or found:
        messages.warn(" ".join((*found, *opened.problems)))
        return
    piece, footage = opened.submission.piece, opened.footage
    intake = piece.trace.intake if piece is not None else None
    remarks = intake.remarks if intake is not None else ()
    if remarks:
        messages.warn(" ".join(remarks))
    elif name:
        messages.say(f"{name} is open; every change is saved.")
    if footage is not None:
        look_at(footage, remarks, on_bench, jobs, messages)
