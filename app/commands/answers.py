"""The command `answers`: what an athlete sent back, taken into the review."""

from __future__ import annotations

import argparse
import contextlib
from typing import TYPE_CHECKING, Final

from app.commands.answer import Answer, CommandError
from app.review.parts.answers import HURTS_IN_THEM, hurts
from app.review.values.text import clean_name

if TYPE_CHECKING:
    from app.review.parts.answers import AthleteAnswers
    from app.review.parts.change import Change
    from app.review.review import Review


PAIN = (
    "The athlete says that it hurts: pain is a reason to stop and to see a licensed clinician "
    "before any more rowing."
)


APART: Final = (
    "These answers belong to another review, and nothing here knows which: they are kept in "
    "{review} apart from its own, where they count for none of its notes. Take the file into the "
    "review it is to as well, and remove it from this one in the window (Answers, Remove)."
)
MOST_NAMED: Final = 3


def answers(options: argparse.Namespace) -> Answer:
    """Take a file of answers into a review, and say what it holds."""
    from app.bundle.read_back import read_answers_file
    from app.commands.keeping import keep_review
    from app.files.user_folders import data_folder
    from app.review.answers import belongs
    from app.review.parts.answers import AddAnswers, first_things_first, received_now
    from app.review.review import Review

    review = Review.open(options.review)
    review.protect(data_folder())
    said, remarks = read_answers_file(options.file)
    mine = belongs(said, review.state)
    if elsewhere := _of_another(said, review.state.review_id, mine, options):
        review.close()
        raise CommandError(elsewhere)
    kept = received_now(said)
    _save(review, AddAnswers(kept), options.file.name)
    remarks = (*remarks, *keep_review(options.review))
    if not mine:
        remarks = (APART.format(review=clean_name(options.review.name)), *remarks)
    words = {note.id: note.text for note in review.state.notes}
    data = {
        "belongs": mine,
        "kept_in": str(options.review),
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


def _of_another(
    said: AthleteAnswers, review_id: str, mine: bool, options: argparse.Namespace
) -> str:
    """Name the review that answers belong to as the library knows it; "" where it is this one.

    Where there is no library, or it does not know either, nothing is named.
    """
    from app.commands.keeping import has_library

    if not has_library() or (mine and not said.ticks):
        return ""
    from app.library.errors import LibraryError
    from app.library.library import Library
    from app.library.whose import is_ours, whose

    try:
        with Library.open() as library:
            found = whose(said, library)
    except LibraryError:
        return ""  # what became of the review is said when it is kept
    if not found or is_ours(found, review_id, mine):
        return ""
    named = ", or ".join(one.named for one, _path in found[:MOST_NAMED])
    there = [path for _one, path in found[:MOST_NAMED] if path is not None]
    file = clean_name(options.file.name)
    then = f"take {file} in with “strokeside answers REVIEW {file}”, the review as it lies now"
    if there:
        then = " or ".join(f'“strokeside answers "{path}" "{options.file}"”' for path in there)
        then = f"take them in there with {then}"
    hurt = f"{HURTS_IN_THEM} " if hurts(said) else ""
    here = clean_name(options.review.name)
    return f"{hurt}These answers belong to {named}; nothing was written into {here}: {then}."


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
