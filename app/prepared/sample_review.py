"""The sample submission laid out as a review of its own, for a first look at the bench."""

from __future__ import annotations

import json
import shutil
import sys
from dataclasses import replace
from pathlib import Path

from analysis.clocks.alignment import Alignment
from app.review.parts.state import ReviewState


def sample_review(folder: Path) -> Path:
    """Copy the sample submission into a folder and prepare its review, unless it is there.

    Returns
    -------
    The review file.
    """
    from app.review.review import Review
    from samples.submission import small_sample

    review = folder / "sample.review"
    if review.is_file():
        return review
    folder.mkdir(parents=True, exist_ok=True)
    sample = small_sample()
    video, trace = folder / sample.footage.name, folder / sample.force.name
    shutil.copyfile(sample.footage, video)
    shutil.copyfile(sample.force, trace)
    known = json.loads(sample.truth.read_text("utf-8"))["clocks"]
    # The simulation knows how its two clocks stand; a real submission has to be lined up.
    alignment = Alignment(known["offset_s"], known["drift_ppm"], 0.0, "as simulated")
    Review.create(review, _prepared(video, trace, review, alignment))
    return review


def _prepared(video: Path, trace: Path, review: Path, alignment: Alignment) -> ReviewState:
    from app.submission.draft import draft_state
    from app.submission.load import Said, begin_with

    said = Said(title="Sample submission", athlete="The sample athlete")
    sent = begin_with(video, trace, review, said)
    return draft_state(replace(sent, state=replace(sent.state, alignment=alignment)))


def main(folder: Path) -> int:
    """Prepare the sample review and say where it is; returns the exit status."""
    try:
        review = sample_review(folder)
    except (ValueError, OSError) as error:
        sys.stderr.write(f"{error}\n")
        return 1
    sys.stdout.write(f"{review}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("out")))
