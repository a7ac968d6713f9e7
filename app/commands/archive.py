"""The commands `archive` and `unpack`: a review with its recordings as one file, there and back."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.commands.answer import Answer, CommandError, progress
from app.commands.recordings import access


def archive(options: argparse.Namespace) -> Answer:
    """Write a review with its recordings as one file."""
    from app.submission.archive import archive_review

    show = progress() or _silent
    made = archive_review(options.review, options.output.absolute(), access(), progress=show)
    data = {
        "archive": str(made.path),
        "bytes": made.bytes,
        "recordings": list(made.recordings),
        "missing": list(made.missing),
    }
    words = f"Archive: {made.path} ({made.bytes / 1e6:.1f} MB), the review and "
    words += ", ".join(made.recordings) or "no recording"
    return Answer(data, "\n".join([words, *made.missing]))


def unpack(options: argparse.Namespace) -> Answer:
    """Open an archive of a review into a folder of its own."""
    from app.submission.archive_reading import open_archive

    beside: Path | None = options.output
    if beside is not None and not beside.is_dir():
        raise CommandError(f"There is no folder {beside.name}; make it first.")
    came = open_archive(options.archive.absolute(), beside, progress() or _silent)
    data = {
        "review": str(came.review),
        "recordings": [str(path) for path in came.recordings],
        "missing": list(came.missing),
    }
    lines = [f"Review: {came.review}", *(f"Recording: {path}" for path in came.recordings)]
    return Answer(data, "\n".join([*lines, *came.missing]))


def _silent(_share: float, _doing: str) -> None:
    pass
