"""The command `walkthrough`: a walkthrough of a review as a film, without a window."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.commands.answer import Answer, CommandError, progress
from app.commands.recordings import access_for


def walkthrough(options: argparse.Namespace) -> Answer:
    """Write one walkthrough of a review as MP4, its captions beside it."""
    from app.bundle.walkthrough.walkthrough_render import WalkJob, render_walk
    from app.files.user_folders import library_folder
    from app.review.file.store import read_review

    state = read_review(options.review)
    count = len(state.walkthroughs)
    if not count:
        raise CommandError(
            f"{options.review.name} holds no walkthrough; record one in the window with F9."
        )
    number = options.number if options.number is not None else count
    if not 1 <= number <= count:
        raise CommandError(f"{options.review.name} holds walkthroughs 1 to {count}, not {number}.")
    output: Path = options.output.absolute()
    if not output.parent.is_dir():
        raise CommandError(f"There is no folder {output.parent.name}; make it first.")
    if output.suffix.lower() != ".mp4":
        raise CommandError(f"A walkthrough is written as .mp4; name it {output.stem}.mp4.")
    walk = state.walkthroughs[number - 1]
    job = WalkJob(
        state,
        options.review,
        library=library_folder() if state.comparisons else None,
        access=access_for(state, options),
    )
    made = render_walk(walk, job, output, progress())
    data = {
        "video": str(made.path),
        "captions": None if made.captions is None else str(made.captions),
        "seconds": made.length_s,
        "remarks": list(made.remarks),
    }
    lines = [f"Walkthrough: {made.path} ({made.length_s:.1f} s)"]
    if made.captions is not None:
        lines.append(f"Captions: {made.captions}")
    return Answer(data, "\n".join([*lines, *made.remarks]))
