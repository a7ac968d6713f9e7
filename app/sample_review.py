"""The sample submission laid out as a review of its own, for a first look at the bench."""

from __future__ import annotations

from pathlib import Path


def sample_review(folder: Path) -> Path:
    """Copy the sample submission into a folder and begin its review, unless it is there.

    Returns
    -------
    The review file.
    """
    import shutil

    from analysis.clocks.alignment import Alignment
    from analysis.force.intake import read_trace
    from app.review.recordings import refer
    from app.review.review import Review
    from app.review.state import ReviewState
    from samples.submission import small_sample

    review = folder / "sample.review"
    if review.is_file():
        return review
    folder.mkdir(parents=True, exist_ok=True)
    sample = small_sample()
    video, trace = folder / sample.footage.name, folder / sample.force.name
    shutil.copyfile(sample.footage, video)
    shutil.copyfile(sample.force, trace)
    intake = read_trace(trace).intake
    Review.create(
        review,
        ReviewState(
            title="Sample submission",
            athlete="The sample athlete",
            video=refer(video, "video", review),
            trace=refer(trace, "trace", review, intake.mapping if intake else None),
            alignment=Alignment(),
        ),
    )
    return review
