"""What a coach drops or chooses, sorted into a review, footage and force."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from app.review.values.text import clean_name
from app.submission.kinds import is_trace_name, recordings_in
from app.submission.refusals import refusal_of

NO_FILM = "There is no film in {folder}: the force is open alone; drop the film when it comes."
NO_FORCE = (
    "There is no force file in {folder}: the film is open alone; drop the file of the machine "
    "(.csv or .txt) when it comes."
)


@dataclass(frozen=True)
class SortedFiles:
    """A review, or footage and force, or one of the two; or several to choose from.

    Attributes
    ----------
    several : more than one review can be made of: the coach is to pick; the rest is empty then
    said : what a folder lacked, "" where there is nothing to say
    """

    review: Path | None = None
    video: Path | None = None
    trace: Path | None = None
    several: tuple[Path, ...] = ()
    said: str = ""


def sort_files(paths: Iterable[Path]) -> SortedFiles:
    """Tell what is what; of a folder, what lies in it.

    Raises
    ------
    ValueError
        It is nothing that can be opened; one sentence says what it is and what to do.
    """
    given = list(paths)
    try:
        found = [f for p in given for f in (recordings_in(p) if p.is_dir() else [p])]
    except OSError as error:
        raise ValueError(f"The folder cannot be read ({error.strerror}); try another.") from None
    if not found:
        raise ValueError(
            "There is no footage, force file or review in this folder; nothing was opened. Choose "
            "the folder the athlete's files lie in, or the files themselves."
        )
    refused = [sentence for path in found if (sentence := refusal_of(path))]
    if refused:
        raise ValueError(refused[0])
    reviews = [p for p in found if p.suffix.lower() == ".review"]
    traces = [p for p in found if is_trace_name(p)]
    videos = [p for p in found if not is_trace_name(p) and p not in reviews]
    if max(len(reviews), len(videos), len(traces)) > 1:
        return SortedFiles(several=tuple(found))
    if reviews:
        return SortedFiles(review=reviews[0])
    video, trace = next(iter(videos), None), next(iter(traces), None)
    return SortedFiles(None, video, trace, said=_lacks(given, video, trace))


def _lacks(given: Sequence[Path], video: Path | None, trace: Path | None) -> str:
    folder = next((p for p in given if p.is_dir()), None)
    if folder is None or (video is not None and trace is not None):
        return ""
    said = NO_FILM if video is None else NO_FORCE
    return said.format(folder=clean_name(folder.name))
