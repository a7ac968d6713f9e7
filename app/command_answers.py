"""The command `answers`: what an athlete sent back, taken into the review."""

from __future__ import annotations

import argparse

from app.command_answer import Answer


def answers(options: argparse.Namespace) -> Answer:
    """Take a file of answers into a review, and say what it holds."""
    from app.bundle.read_back import read_answers_file
    from app.review.answers import belongs
    from app.review.parts.answers import AddAnswers, received_now
    from app.review.review import Review

    review = Review.open(options.review)
    said, remarks = read_answers_file(options.file)
    mine = belongs(said, review.state)
    kept = received_now(said)
    review.do(AddAnswers(kept))
    if not mine:
        remarks = ("These answers belong to another review; they are kept apart.", *remarks)
    words = {note.id: note.text for note in review.state.notes}
    data = {
        "belongs": mine,
        "received": kept.received,
        "ticks": [{"note": t.note_id, "done": t.done} for t in kept.ticks],
        "comment": kept.comment,
        "self_test": [{"id": t.id, "answer": t.answer} for t in kept.self_test],
        "remarks": list(remarks),
    }
    lines = [
        f"{'done' if t.done else 'open'}  {(words.get(t.note_id, '').splitlines() or ['?'])[0]}"
        for t in kept.ticks
    ]
    lines += [f"{t.id}: {t.answer}" for t in kept.self_test]
    lines += [kept.comment] if kept.comment else []
    return Answer(data, "\n".join((*lines, *remarks)))
