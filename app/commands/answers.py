"""The command `answers`: what an athlete sent back, taken into the review."""

from __future__ import annotations

import argparse
import contextlib
from typing import TYPE_CHECKING

from app.commands.answer import Answer

if TYPE_CHECKING:
    from app.review.parts.change import Change
    from app.review.review import Review


PAIN = (
    "The athlete says that it hurts: pain is a reason to stop and to see a licensed clinician "
    "before any more rowing."
)


def answers(options: argparse.Namespace) -> Answer:
    """Take a file of answers into a review, and say what it holds."""
    from app.bundle.read_back import read_answers_file
    from app.commands.keeping import keep_review
    from app.files.user_folders import data_folder
    from app.review.answers import belongs
    from app.review.parts.answers import AddAnswers, first_things_first, hurts, received_now
    from app.review.review import Review

    review = Review.open(options.review)
    review.protect(data_folder())
    said, remarks = read_answers_file(options.file)
    mine = belongs(said, review.state)
    kept = received_now(said)
    _save(review, AddAnswers(kept), options.file.name)
    remarks = (*remarks, *keep_review(options.review))
    if not mine:
        remarks = ("These answers belong to another review; they are kept apart.", *remarks)
    words = {note.id: note.text for note in review.state.notes}
    data = {
        "belongs": mine,
        "received": kept.received,
        "hurts": hurts(kept),
        "ticks": [
            {"note": t.note_id, "done": t.done, "how": t.how or None, "words": t.words}
            for t in first_things_first(kept.ticks)
        ],
        "comment": kept.comment,
        "self_test": [{"id": t.id, "answer": t.answer} for t in kept.self_test],
        "remarks": list(remarks),
    }
    lines = [PAIN] if hurts(kept) else []
    for t in first_things_first(kept.ticks):
        how = t.how.replace("_", " ") or ("done" if t.done else "open")
        line = f"{how}  {(words.get(t.note_id, '').splitlines() or ['?'])[0]}"
        lines.append(f"{line}  {t.words}".rstrip())
    lines += [f"{t.id}: {t.answer}" for t in kept.self_test]
    lines += [kept.comment] if kept.comment else []
    return Answer(data, "\n".join((*lines, *remarks)))


def _save(review: Review, change: Change, answers_name: str) -> None:
    """Make a change and save it; where that fails, no copy is left: the answers are still there."""
    from app.files.user_folders import data_folder
    from app.review.rescue import put_away
    from app.review.values.errors import ReviewError

    try:
        review.do(change)
    except ReviewError as error:
        copy = review.rescue_path
        if copy is None and not review.unsaved:
            raise  # the change itself was refused
        if copy is not None:
            put_away(data_folder(), copy)
            with contextlib.suppress(OSError):
                copy.unlink()
        raise ReviewError(f"{error} Nothing was taken in; {answers_name} is as it was.") from error
    review.close()
