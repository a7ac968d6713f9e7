"""What the commands do. Each takes its options and returns an answer as data and as text.

Heavy modules are imported inside, so that `strokeside --help` is quick.
"""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.commands.answer import Answer, CommandError, mapping_of, progress, read_piece
from app.commands.keeping import keep_bundle, keep_review, last_time_of
from app.commands.recordings import access, access_for
from app.files.user_folders import library_folder
from app.review.file.header import has_mark

if TYPE_CHECKING:
    from app.bundle.sources.last_time import LastTime
    from app.bundle.write import BundleResult
    from app.review.parts.sending import SendingPlan
    from app.review.parts.state import ReviewState
    from app.review.recordings import RecordingAccess
    from app.submission.joined import JoinedFiles
    from app.submission.submission import LoadedSubmission


SHORTEST_SAMPLE_S = 6.0  # the force recorder is started a few seconds after the camera


def window(paths: list[Path], for_qt: list[str]) -> int:
    """Open the window on a review or on recordings, or on what was open last."""
    for path in paths:
        if not path.exists():
            raise CommandError(f"{path} does not exist; check the name.")
        if path.suffix.lower() == ".review" and not has_mark(path):
            _refuse_what_is_no_review(path)
    try:
        from app.window.__main__ import open_window
    except ImportError as error:
        raise CommandError(
            f"The window cannot open because a library is missing ({error}); the other commands "
            "work without it, see strokeside --help."
        ) from error
    return open_window(paths, ["strokeside", *for_qt])


def _refuse_what_is_no_review(path: Path) -> None:
    """Refuse before a window flashes up; a damaged review is not, for the window can recover it."""
    from app.review.file.store import read_review
    from app.review.values.errors import DamagedReview

    with contextlib.suppress(DamagedReview):
        read_review(path)


def frames(options: argparse.Namespace) -> Answer:
    """List the exact presentation times of a video."""
    from app.commands.tables import frames_text
    from app.media.video import VideoFile

    with VideoFile.open(options.video) as video:
        data = {
            "width": video.width,
            "height": video.height,
            "rotation_deg": video.rotation_deg,
            "frames": [
                {"index": i, "time_s": float(time_s), "key": bool(key)}
                for i, (time_s, key) in enumerate(
                    zip(video.index.time_s, video.index.key, strict=True)
                )
            ],
        }
    return Answer(data, frames_text(data))


def still(options: argparse.Namespace) -> Answer:
    """Write the frame on screen at a time."""
    from app.media.still import write_png
    from app.media.video import VideoFile

    with VideoFile.open(options.video) as video:
        if not 0.0 <= options.at <= video.duration_s:
            raise CommandError(
                f"{options.video.name} shows nothing at {options.at:g} s: it runs from 0 to "
                f"{video.duration_s:.3f} s; give a time in between."
            )
        i = video.index.at(options.at)
        time_s = float(video.index.time_s[i])
        image, damage = video.frame_rgb(i), video.damage_at(i)
        write_png(image, options.output)
        width, height = video.width, video.height
    data = {
        "png": str(options.output),
        "index": i,
        "time_s": time_s,
        "width": width,
        "height": height,
        "damage": damage,
    }
    said = f"Frame {i} at {time_s:.6f} s, {width} × {height}: {options.output}"
    return Answer(data, said if damage is None else f"{said}\n{damage}")


def strokes(options: argparse.Namespace) -> Answer:
    """Cut a force recording into strokes and measure them."""
    from app.commands.tables import piece_data, piece_text

    piece = read_piece(options.trace, options)
    return Answer(piece_data(piece), piece_text(piece))


def align(options: argparse.Namespace) -> Answer:
    """Line up footage and force by what both show of the same strokes."""
    from app.commands.aligning import align as job

    return job(options)


def findings(options: argparse.Namespace) -> Answer:
    """Say what the recordings show, each with its evidence and where to look."""
    from app.commands.findings import findings as job

    return job(options)


def compare(options: argparse.Namespace) -> Answer:
    """Compare two force recordings, or two strokes."""
    from app.commands.compare import compare as job

    return job(options)


def new(options: argparse.Namespace) -> Answer:
    """Make a review file."""
    from app.commands.intake import films_data, remember, said_of, take_in
    from app.commands.tables import review_answer
    from app.review.review import Review
    from app.submission.joined import joined_forces
    from app.submission.named import recordings_of

    _refuse_to_write_over(options.output)
    folder = options.output.absolute().parent
    with (
        recordings_of(options.files, folder) as named,
        joined_forces(named, folder, lambda path: mapping_of(path, options)) as files,
    ):
        together = take_in(options, files.files, options.output, lines_up=False, made=files.made)
        sent = together.sent
        Review.create(options.output, sent.state)
    remember(sent)
    joined = (files.said,) if files.said else ()
    said = (*joined, *said_of(sent), *together.films_said, *keep_review(options.output))
    return review_answer(sent, said, films_data(together))


def draft(options: argparse.Namespace) -> Answer:
    """Take in, line up, measure, find, and write a bundle that no coach has seen."""
    from app.submission.joined import joined_forces
    from app.submission.named import recordings_of

    if options.review is not None:
        _refuse_to_write_over(options.review)
    kept = None if options.review is None else options.review.absolute().parent
    with (
        recordings_of(options.files, kept) as named,
        joined_forces(named, kept, lambda path: mapping_of(path, options)) as files,
    ):
        return _drafted(options, files)


def _drafted(options: argparse.Namespace, files: JoinedFiles) -> Answer:
    from app.commands.body import with_body
    from app.commands.intake import films_data, remember, said_of_draft, take_in
    from app.review.review import Review
    from app.submission.draft import draft_state

    # Nothing is written there: a place beside the bundle, from which the recordings are found.
    place = options.review or options.output.absolute().with_name("draft.review")
    together = take_in(options, files.files, place, made=files.made)
    sent, more = with_body(together.sent, options)
    state = draft_state(sent)
    plan = state.sending
    state = replace(state, sending=replace(plan, second_view=_second_view(options, plan)))
    raised = (r.said for r in sent.raised.remarks if r.code in ("body", "defaults"))
    joined = (files.said,) if files.said else ()
    said = (*joined, *said_of_draft(together), *more, *raised)
    if options.review is not None:
        Review.create(options.review, state)
        remember(sent)
        said = (*said, *keep_review(options.review))
    may_read = access().naming(*files.files)
    result = _write_bundle(state, place, options.output, may_read, sent=sent)
    answer = _bundle_answer(state, result, said)
    data = {**answer.data, "films": films_data(together)}
    if options.review is None:
        return Answer(data, answer.text)
    data["review"] = str(options.review)
    return Answer(data, f"{answer.text}\nReview for a coach to go on with: {options.review}")


def _refuse_to_write_over(review: Path) -> None:
    if review.exists():
        raise CommandError(
            f"{review.name} exists already and was left as it is; choose another name."
        )


def _second_view(options: argparse.Namespace, plan: SendingPlan) -> bool:
    """Whether what a second camera shows goes along: as the call says, else as the plan does."""
    return plan.second_view if options.second_view is None else bool(options.second_view)


def bundle(options: argparse.Namespace) -> Answer:
    """Write the feedback bundle of a review."""
    from app.review.file.store import read_review

    state = read_review(options.review)
    plan = state.sending
    plan = replace(
        plan,
        quality=options.quality or plan.quality,
        language=options.language or plan.language,
        second_view=_second_view(options, plan),
    )
    state = replace(state, sending=plan)
    may_read = access_for(state, options)
    result = _write_bundle(
        state,
        options.review,
        options.output,
        may_read,
        last_time=last_time_of(state, options.review, may_read),
        as_zip=options.zip,
        single_file=options.single_file,
        written=options.date or "",
    )
    kept = keep_bundle(state, options.review, result)
    return _bundle_answer(state, result, (*result.hints, *kept))


def sample(options: argparse.Namespace) -> Answer:
    """Write the sample submission with its ground truth."""
    from samples.submission import SampleOptions, make_submission

    given: dict[str, Any] = {}
    if options.seed is not None:
        given["seed"] = options.seed
    if options.seconds is not None:
        if options.seconds < SHORTEST_SAMPLE_S:
            raise CommandError(f"A sample lasts at least {SHORTEST_SAMPLE_S:g} seconds.")
        given["duration_s"] = options.seconds
    if options.fault is not None:
        given["faults"] = tuple(options.fault)
    show = progress()
    made = make_submission(
        options.output,
        SampleOptions(**given),
        progress=None if show is None else lambda share: show(share, "Filming the sample"),
    )
    data = {
        "folder": str(options.output),
        "video": str(made.footage),
        "trace": str(made.force),
        "truth": str(made.truth),
    }
    return Answer(data, f"Footage: {made.footage}\nForce: {made.force}\nGround truth: {made.truth}")


def _write_bundle(
    state: ReviewState,
    review_path: Path,
    out: Path,
    may_read: RecordingAccess,
    *,
    as_zip: bool = False,
    single_file: bool = False,
    written: str = "",
    sent: LoadedSubmission | None = None,
    last_time: LastTime | None = None,
) -> BundleResult:
    from app.bundle.write import WriteOptions, write_bundle

    return write_bundle(
        state,
        review_path,
        out,
        as_zip=as_zip,
        single_file=single_file,
        options=WriteOptions(
            written=written,
            library=library_folder() if state.comparisons or state.self_test else None,
            body=None if sent is None else sent.body,
            mine=None if sent is None else sent.mine,
            access=may_read,
            last_time=last_time,
        ),
        progress=progress(),
    )


def answers(options: argparse.Namespace) -> Answer:
    """Take an athlete's answers into a review."""
    from app.commands.answers import answers as take

    return take(options)


def _reminders(state: ReviewState) -> tuple[str, ...]:
    """What to think of before sending; of consent only where the review says anything of it."""
    from app.review.safety import blur_reminders, left_out_reminders, safety_reminders

    plan = state.sending
    if plan.consent is None and not plan.minor:
        return blur_reminders(state) + left_out_reminders(state)
    return safety_reminders(state, consent=plan.consent, minor=plan.minor)


def _bundle_answer(state: ReviewState, result: BundleResult, remarks: Sequence[str]) -> Answer:
    from app.review.parts.sending import sent_notes

    every = list(dict.fromkeys((*_reminders(state), *remarks, *result.remarks)))
    sent = sent_notes(state.sending, state.notes)
    data = {
        "bundle": str(result.path),
        "files": list(result.files),
        "bytes": result.bytes,
        "draft": state.draft,
        "notes": len(state.notes if sent is None else sent),
        "alignment": state.alignment.as_data() if state.video and state.trace else None,
        "remarks": every,
    }
    kind = "Draft bundle, which no coach has seen" if state.draft else "Feedback bundle"
    page = result.path / "index.html" if result.path.is_dir() else result.path
    size = f"{len(result.files)} files, {result.bytes / 1e6:.1f} MB"
    return Answer(data, "\n".join([f"{kind}: {page} ({size})", *every]))
