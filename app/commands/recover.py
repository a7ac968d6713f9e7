"""The command `recover`: what can still be read of a damaged review becomes a new one."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.commands.answer import Answer


def add_options(command: argparse.ArgumentParser) -> None:
    """Which review, and where what could be read goes."""
    command.add_argument("review", type=Path, metavar="REVIEW", help="left as it is")
    command.add_argument(
        "-o",
        "--output",
        type=Path,
        required=True,
        metavar="REVIEW",
        help="the review file to make; it must not exist yet",
    )


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
