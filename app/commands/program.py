"""The command `strokeside`: the window, and the same jobs without one.

The names, options and answers are a contract, described in docs/commands.md. This module holds the
command line itself; what the commands do is in the modules `_COMMANDS` names, which are loaded when
their command is carried out.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
import json
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from app.about import VERSION
from app.commands import options as words
from app.review.values.text import clean_text

if TYPE_CHECKING:
    from types import FrameType

    from app.commands.answer import Answer

DONE, UNUSABLE, WRONG_CALL, INTERRUPTED = 0, 1, 2, 130

# Each module's own error, whose text is one sentence for the user. A module that was never loaded
# cannot have raised, so none is loaded only to be asked.
_SENTENCES = (
    ("app.commands.answer", "CommandError"),
    ("app.submission.load", "SubmissionError"),
    ("analysis.force.trace", "TraceError"),
    ("analysis.clocks.alignment", "AlignmentError"),
    ("app.body.errors", "BodyError"),
    ("app.media.errors", "MediaError"),
    ("app.review.values.errors", "ReviewError"),
    ("app.bundle.wording.errors", "BundleError"),
    ("app.drafts.errors", "BatchError"),
    ("app.drafts.errors", "BatchError"),
    ("app.library.errors", "LibraryError"),
    ("app.shelf.errors", "ShelfError"),
    ("samples.faults", "SampleError"),
)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    argv : what follows the program's name; None takes it from the process

    Returns
    -------
    int
        0 done, 1 the input cannot be used, 2 wrong call, 130 interrupted.
    """
    arguments = list(sys.argv[1:] if argv is None else argv)
    wants_json = "--json" in arguments
    try:
        if _is_for_window(arguments):
            return _open_window(_parser(), arguments)
        with _stoppable():
            _show(_run(arguments), wants_json)
        return DONE
    except SystemExit as leaving:  # argparse has said what is wrong
        return leaving.code if isinstance(leaving.code, int) else WRONG_CALL
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _drop_stdout()  # whoever read the answer has seen enough
        return DONE
    except Exception as error:  # the last resort: never a traceback for the user
        if os.environ.get("STROKESIDE_DEBUG"):
            raise
        return _refuse(_sentence(error), wants_json)


def _is_for_window(arguments: list[str]) -> bool:
    first = arguments[0] if arguments else "--"
    return first == "--" or not (first in _COMMANDS or first.startswith("-"))


def _run(arguments: list[str]) -> Answer:
    parser = _parser(arguments[0] if arguments else "")
    options = parser.parse_args(arguments)
    if getattr(options, "pair", None) and len(getattr(options, "files", "..")) < 2:
        parser.error("--pair needs both a video and a trace")
    if options.job == "jobs.findings":
        from app.commands.findings import need_one

        wrong = need_one(options)
        if wrong:
            parser.error(wrong)
    _tidy(getattr(options, "review", None))
    module, _, name = options.job.rpartition(".")
    answer: Answer = getattr(importlib.import_module(f"app.commands.{module}"), name)(options)
    return answer


def _tidy(review: object) -> None:
    """Take away what a command or a window left that was killed."""
    from app.housekeeping.tidying import tidy

    tidy(review=review if isinstance(review, Path) else None)


def _open_window(parser: argparse.ArgumentParser, arguments: list[str]) -> int:
    """Open the window: `[REVIEW | FILM FORCE | FOLDER] [-- QT OPTIONS]`."""
    at = arguments.index("--") if "--" in arguments else len(arguments)
    names, for_qt = arguments[:at], arguments[at + 1 :]
    paths = [Path(name) for name in names]
    if len(paths) > 2 or (len(paths) > 1 and any(p.suffix == ".review" for p in paths)):
        parser.error(f"{names[0]!r} is not a command; a window opens one review, or two recordings")
    if paths and paths[0].suffix != ".review" and not paths[0].exists():
        parser.error(f"{names[0]!r} is neither a command nor a review")
    from app.commands.jobs import window

    return window(paths, for_qt)


def _parser(called: str = "") -> argparse.ArgumentParser:
    """Every command by name; the options only of the one that is called."""
    parser = argparse.ArgumentParser(
        prog="strokeside",
        description="Review bench for a rowing coach: footage and handle force in, one feedback "
        "bundle out.",
        epilog="Without a command the window opens: strokeside [REVIEW], strokeside FILM "
        "FORCE, or a folder with them. A file named like a command is opened as ./NAME. "
        "Times are in seconds.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {VERSION}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for name, (job, about, add_options) in _COMMANDS.items():
        command = commands.add_parser(name, help=about, description=about, allow_abbrev=False)
        if name == called:
            add_options(command)
        command.add_argument("--json", action="store_true", help="answer as JSON")
        command.set_defaults(job=job)
    return parser


def _frames_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("video", type=Path, metavar="VIDEO")


def _still_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("video", type=Path, metavar="VIDEO")
    command.add_argument("--at", type=words.seconds, required=True, metavar="T")
    _add_output(command, "PNG", "the picture to write")


def _strokes_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("trace", type=Path, metavar="TRACE")
    _add_mapping(command)


def _align_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("video", type=Path, metavar="VIDEO")
    command.add_argument("trace", type=Path, metavar="TRACE")
    command.add_argument(
        "--slow-motion",
        type=words.times_slower,
        metavar="N",
        help="how many times slower than life the footage runs; found by itself without it",
    )
    _add_mapping(command)


def _findings_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("trace", type=Path, nargs="?", metavar="TRACE")
    command.add_argument("--video", type=Path, metavar="VIDEO", help="footage of the same piece")
    words.add_points(command)
    _add_pair(command)
    _add_mapping(command)
    words.add_shipped(command)


def _compare_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("left", type=Path, metavar="TRACE")
    command.add_argument("right", type=Path, nargs="?", metavar="OTHER")
    for side in ("left", "right"):
        command.add_argument(
            f"--{side}-stroke", type=int, metavar="N", help="its index; the typical one without it"
        )
    _add_mapping(command)


def _draft_options(command: argparse.ArgumentParser) -> None:
    _add_submission(command)
    words.add_points(command)
    _add_output(command, "DIR", "the folder for the bundle")
    command.add_argument(
        "--review",
        type=Path,
        metavar="REVIEW",
        help="also keep the draft as a review file, for a coach to go on with",
    )
    words.add_shipped(command)


def _new_options(command: argparse.ArgumentParser) -> None:
    _add_submission(command)
    _add_output(command, "REVIEW", "the review file to make")


def _bundle_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("review", type=Path, metavar="REVIEW")
    _add_output(command, "DIR", "the folder, .zip or .html to write")
    shape = command.add_mutually_exclusive_group()
    shape.add_argument("--zip", action="store_true", help="one .zip in place of a folder")
    shape.add_argument("--single-file", action="store_true", help="one self-contained .html")
    command.add_argument(
        "--quality",
        choices=words.QUALITIES,
        help="of clips and stills; the review's own without it",
    )
    command.add_argument(
        "--language",
        metavar="XX",
        help="of the page's own words, such as en or de; the review's own without it",
    )
    command.add_argument(
        "--date",
        type=words.day,
        metavar="YYYY-MM-DD",
        help="the date the page states; without it none is, and the same review gives the same "
        "bytes",
    )
    words.add_recordings(command)


def _answers_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("review", type=Path, metavar="REVIEW")
    command.add_argument("file", type=Path, metavar="FILE", help="what the athlete's page saved")


def _sample_options(command: argparse.ArgumentParser) -> None:
    _add_output(command, "DIR", "the folder for the sample submission")
    command.add_argument("--seed", type=int, metavar="N", help="another rower by another seed")
    command.add_argument("--seconds", type=words.seconds, metavar="S", help="how long the piece is")
    command.add_argument(
        "--fault",
        type=words.fault,
        action="append",
        metavar="CODE[:STRENGTH]",
        help="a fault the rower shows, with a strength from 0 to 1; repeat it for more",
    )


def _recover_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("review", type=Path, metavar="REVIEW", help="left as it is")
    _add_output(command, "REVIEW", "the review file to make; it must not exist yet")


def _walkthrough_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("review", type=Path, metavar="REVIEW")
    command.add_argument("-o", "--output", type=Path, required=True, metavar="MP4")
    command.add_argument(
        "--number", type=int, metavar="N", help="which one, from 1; the last without it"
    )
    words.add_recordings(command)


def _add_output(command: argparse.ArgumentParser, metavar: str, about: str) -> None:
    command.add_argument("-o", "--output", type=Path, required=True, metavar=metavar, help=about)


def _add_submission(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "files",
        type=Path,
        nargs="+",
        action=words.OneOrTwo,
        metavar="VIDEO [TRACE]",
        help="footage, a force recording, or both",
    )
    _add_pair(command)
    command.add_argument("--athlete", default="", metavar="NAME")
    command.add_argument("--title", default="", metavar="TITLE")
    _add_mapping(command)


def _add_pair(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--pair",
        type=words.pair,
        action="append",
        metavar="VIDEO_S:TRACE_S",
        help="one moment on both clocks; repeat it to find the drift too",
    )


def _add_mapping(command: argparse.ArgumentParser) -> None:
    group = command.add_argument_group("how to read the force recording, where it does not say")
    group.add_argument("--force-column", metavar="NAME", help="a name, or a number from 1")
    group.add_argument("--force-unit", metavar="UNIT", help="N, kN, daN, kgf, lbf, or '245 N/V'")
    group.add_argument(
        "--load",
        type=words.load,
        action="append",
        metavar="READING:NEWTONS",
        help="what the sensor reads under a known load; repeat it for another load",
    )
    group.add_argument("--time-column", metavar="NAME", help="a name, or a number from 1")
    group.add_argument("--time-unit", metavar="UNIT", help="s, ms or us")
    group.add_argument(
        "--interval", type=words.seconds, metavar="S", help="seconds between samples"
    )
    group.add_argument("--position-column", metavar="NAME", help="a name, or a number from 1")
    group.add_argument("--position-unit", metavar="UNIT", help="m, cm or mm")
    group.add_argument(
        "--keep-rest",
        action="store_true",
        help="leave in the force what is read while nobody pulls, instead of taking it off",
    )


def _batch_options(command: argparse.ArgumentParser) -> None:
    from app.commands.batch import add_options

    add_options(command)


def _library_options(command: argparse.ArgumentParser) -> None:
    from app.commands.library import add_options

    add_options(command)


def _shelf_options(command: argparse.ArgumentParser) -> None:
    from app.commands.shelf import add_options

    add_options(command)


# Each with the module and function that carries it out, and what adds its options.
_COMMANDS = {
    "frames": ("jobs.frames", "list the exact presentation times of a video", _frames_options),
    "still": ("jobs.still", "write the frame on screen at a time as a picture", _still_options),
    "strokes": ("jobs.strokes", "cut a force recording into strokes and measure", _strokes_options),
    "align": ("jobs.align", "line up footage and force by what both show", _align_options),
    "findings": ("jobs.findings", "say what force and footage show", _findings_options),
    "body": ("body.body", "follow the body in a film and cut its strokes", words.add_body),
    "compare": ("jobs.compare", "compare two force recordings or strokes", _compare_options),
    "draft": ("jobs.draft", "write a draft bundle with no coach", _draft_options),
    "new": ("jobs.new", "make a review of footage, force or both", _new_options),
    "bundle": ("jobs.bundle", "write the feedback bundle of a review", _bundle_options),
    "answers": ("jobs.answers", "take an athlete's answers into a review", _answers_options),
    "recover": (
        "recover.recover",
        "read out what can be read of a damaged review",
        _recover_options,
    ),
    "walkthrough": (
        "walkthrough.walkthrough",
        "write a walkthrough of a review as a film",
        _walkthrough_options,
    ),
    "batch": ("batch.batch", "prepare drafts of a folder of submissions", _batch_options),
    "library": (
        "library.library",
        "keep and find what is known of athletes",
        _library_options,
    ),
    "shelf": ("shelf.shelf", "list and hand on the explanations you keep", _shelf_options),
    "sample": ("jobs.sample", "write the sample submission with its ground truth", _sample_options),
}


def _show(answer: Answer, as_json: bool) -> None:
    if as_json:
        text = json.dumps(answer.data, allow_nan=False)
    else:
        text = clean_text(answer.text)
        encoding = sys.stdout.encoding or "utf-8"
        text = text.encode(encoding, "backslashreplace").decode(encoding)
    print(text)
    sys.stdout.flush()


def _sentence(error: Exception) -> str:
    """Return what to tell the user; what nobody foresaw goes to a log in full."""
    for module, name in _SENTENCES:
        known = getattr(sys.modules.get(module), name, None)
        if known is not None and isinstance(error, known):
            return str(error)
    if isinstance(error, OSError):
        what = Path(error.filename).name if isinstance(error.filename, str) else "A file"
        return f"{what} could not be used: {(error.strerror or str(error)).lower()}."
    where = _write_log(error)
    return (
        f"Something went wrong that should not have ({type(error).__name__}); your recordings "
        f"were not touched, and the details are in {where}."
    )


def _write_log(error: Exception) -> str:
    import traceback
    from datetime import UTC, datetime

    state = os.environ.get("XDG_STATE_HOME") or os.environ.get("LOCALAPPDATA")
    folder = (Path(state) if state else Path.home() / ".local" / "state") / "strokeside"
    log = folder / "errors.log"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with log.open("a", encoding="utf-8", errors="backslashreplace") as file:
            file.write(f"{datetime.now(UTC).isoformat(timespec='seconds')}\n")
            file.write("".join(traceback.format_exception(error)) + "\n")
    except OSError:
        return "no log, for none could be written; set STROKESIDE_DEBUG=1 to see them"
    return str(log)


def _refuse(sentence: str, as_json: bool) -> int:
    sentence = clean_text(sentence).replace("\n", " ")
    with contextlib.suppress(OSError):
        print(sentence, file=sys.stderr, flush=True)
    try:
        if as_json:
            print(json.dumps({"error": sentence}))
        # Some versions keep what could not be written and try again, with a complaint, at the end.
        sys.stdout.flush()
    except OSError:
        _drop_stdout()
    return UNUSABLE


def _drop_stdout() -> None:
    """Let Python's own last flush go nowhere instead of complaining."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


@contextlib.contextmanager
def _stoppable() -> Iterator[None]:
    """Leave by the same road when told to end as on Ctrl-C, so that temporary files go."""

    def stop(number: int, frame: FrameType | None) -> NoReturn:
        raise KeyboardInterrupt

    try:
        before = signal.signal(signal.SIGTERM, stop)
    except ValueError:  # not the main thread
        yield
        return
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
