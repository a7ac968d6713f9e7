"""One submission made into a draft: lined up, followed, measured, found; runs in any process."""

from __future__ import annotations

import contextlib
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from app.drafts.job import DraftJob, DraftRow, Prepared, failed
from app.review.file.store import read_review
from app.review.parts.films import all_recordings
from app.review.recordings.fingerprint import fingerprint
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.submission.load import Said, begin
from app.submission.together import Together, begin_together

if TYPE_CHECKING:
    from app.submission.submission import LoadedSubmission

APART: Final = (
    "{film} does not keep step with {force}: probably another piece. It was left out; look at it "
    "by itself."
)
UNSURE: Final = (
    "{film} and {force} were put together by their {why}; their strokes fit in several ways, so "
    "look before you trust the times."
)
LEFT: Final = (
    "{film} was left out: nothing tells for sure where in the piece it belongs; open the review "
    "and add it there."
)
UNLINED: Final = (
    "{film} and {force} were put together by their {why} and could not be lined up; look whether "
    "they are of one piece."
)
TAKEN: Final = "There is another review called {name} already; it was left as it is."


def prepare(job: DraftJob) -> Prepared:
    """Prepare a draft; whatever goes wrong is told in the row, and stops nobody else."""
    began_s = time.perf_counter()
    try:
        done = _known(job) or _draft(job)
    except (ValueError, OSError) as error:
        made = _made_meanwhile(job)
        if made is None:
            return failed(job, str(error), time.perf_counter() - began_s)
        done = made
    except Exception as error:  # noqa: BLE001 - of hundreds one may be as nobody foresaw
        why = f"Something went wrong that should not have ({type(error).__name__})."
        return failed(job, why, time.perf_counter() - began_s)
    took_s = round(time.perf_counter() - began_s, 2)
    return replace(done, row=replace(done.row, seconds=took_s))


def _made_meanwhile(job: DraftJob) -> Prepared | None:
    """The review another process made of the same: one of a killed batch ends its last work."""
    with contextlib.suppress(ValueError, OSError):
        return _known(job)
    return None


def _known(job: DraftJob) -> Prepared | None:
    """The review of these very recordings that lies there: a worker was stopped after making it.

    Raises
    ------
    ReviewError
        Something else lies there.
    """
    path = Path(job.review)
    if not path.exists():
        return None
    state = read_review(path)
    held = {ref.sha256 for ref in all_recordings(state)}
    named = [name for name in (*job.films, job.force) if name is not None]
    if not held or not held <= {fingerprint(Path(name)).sha256 for name in named}:
        raise ReviewError(TAKEN.format(name=path.name))
    return _prepared(job, job.remark)


def _prepared(job: DraftJob, remark: str) -> Prepared:
    return Prepared(DraftRow(job.films, job.force, "ready", job.review, 0.0, remark))


def _draft(job: DraftJob) -> Prepared:
    from app.library.collect import summary_of
    from app.submission.draft import draft_state

    path = Path(job.review)
    said = Said(title=path.stem, athlete=job.athlete)
    sent, remarks = _taken_in(job, path, said)
    sent, more = _followed(sent)
    told = [remark.said for remark in sent.raised.remarks if remark.code == "body" and remark.said]
    review = Review.create(path, draft_state(sent))
    try:
        state = review.state
        summary = summary_of(state, path, sent.in_state(state, path))
    finally:
        review.close()
    noticed = [remark.said for remark in sent.noticed if remark.said]
    every = dict.fromkeys(r for r in (job.remark, *remarks, *more, *noticed, *told[:1]) if r)
    return replace(_prepared(job, " ".join(every)), summary=summary)


def _taken_in(job: DraftJob, path: Path, said: Said) -> tuple[LoadedSubmission, tuple[str, ...]]:
    """Open what belongs together; two that do not keep step are not left together."""
    films, force = [Path(name) for name in job.films], job.force
    files = [*films, *((Path(force),) if force else ())]
    together = begin_together(files, path, said, only_sure=True)
    judged, told = together.judged, _of_films(together)
    if judged is None or force is None:
        return together.sent, told
    names = {
        "film": " and ".join(film.name for film in films),
        "force": Path(force).name,
        "why": job.why or "names",
    }
    if judged.outcome == "not together":
        return begin([Path(force)], path, said), (APART.format(**names),)
    if judged.found is None:
        return together.sent, (*told, UNLINED.format(**names))
    # What is not proven is laid as well: a coach opens each of these drafts, and is told to look.
    alignment = judged.found.alignment
    sent = together.sent.in_state(replace(together.sent.state, alignment=alignment))
    unsure = (UNSURE.format(**names),) if alignment.ambiguous else ()
    return sent, (*told, *unsure)


def _of_films(together: Together) -> tuple[str, ...]:
    """Where further films were laid, and which were left out."""
    films = () if together.judged is None else together.judged.films
    said = (film.said if film.place.sure else LEFT.format(film=film.path.name) for film in films)
    return (*together.left_out, *said)


def _followed(sent: LoadedSubmission) -> tuple[LoadedSubmission, tuple[str, ...]]:
    """Follow the body in a film, as a review keeps it; without the networks nothing is lost."""
    if sent.video_path is None:
        return sent, ()
    from app.body.errors import BodyError, NotSetUpError
    from app.body.track_film import followed_film
    from app.review.parts.body import SetBody
    from app.review.parts.body_readings import readings_of
    from app.submission.body import body_of

    try:
        readings = readings_of(followed_film(sent.video_path).observed)
    except BodyError as error:
        # Beside a force nobody misses it who never set it up.
        is_told = sent.piece is None or not isinstance(error, NotSetUpError)
        return sent, (str(error),) if is_told else ()
    state = SetBody(readings).apply(sent.state)
    return sent.in_state(state).with_body(body_of(state)), ()
