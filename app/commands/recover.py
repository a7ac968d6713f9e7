"""The command `recover`: what can still be read of a damaged review becomes a new one."""

from __future__ import annotations

import argparse

from app.commands.answer import Answer


def recover(options: argparse.Namespace) -> Answer:
    """Recover a review, and say what was saved and what was lost."""
    from app.review.file.recover import recover as read_out

    found = read_out(options.review, options.output)
    data = {
        "saved": list(found.saved),
        "lost": list(found.lost),
        "review": str(options.output),
    }
    saved = ", ".join(found.saved) or "nothing but the title"
    lost = found.lost or ("Nothing seems to be lost.",)
    return Answer(data, "\n".join((f"Saved: {saved}", *lost, f"Review: {options.output}")))
