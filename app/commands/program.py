"""The command `strokeside`: the window, and the same jobs without one.

The names, options and answers are a contract, described in docs/commands.md. This module holds the
command line itself; what the commands do is in the modules the list of commands names, which are
loaded when their command is carried out.
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
from app.commands.command_list import COMMANDS
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
    return first == "--" or not (first in COMMANDS or first.startswith("-"))


def _run(arguments: list[str]) -> Answer:
    parser = _parser(arguments[0] if arguments else "")
    options = parser.parse_args(arguments)
    if getattr(options, "pair", None) and _is_one_file(getattr(options, "files", "..")):
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


def _is_one_file(files: Sequence[Path] | str) -> bool:
    return len(files) == 1 and not (isinstance(files[0], Path) and files[0].is_dir())


def _tidy(review: object) -> None:
    """Take away what a command or a window left that was killed."""
    from app.housekeeping.tidying import tidy

    tidy(review=review if isinstance(review, Path) else None)


def _open_window(parser: argparse.ArgumentParser, arguments: list[str]) -> int:
    """Open the window: `[REVIEW | FILM FORCE | FOLDER] [-- QT OPTIONS]`."""
    at = arguments.index("--") if "--" in arguments else len(arguments)
    names, for_qt = arguments[:at], arguments[at + 1 :]
    paths = [Path(name) for name in names]
    if len(paths) > 1 and any(p.suffix == ".review" for p in paths):
        parser.error(f"{names[0]!r} is not a command; a window opens one review, or recordings")
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
    for name, (job, about, add_options) in COMMANDS.items():
        command = commands.add_parser(name, help=about, description=about, allow_abbrev=False)
        if name == called:
            add_options(command)
        command.add_argument("--json", action="store_true", help="answer as JSON")
        command.set_defaults(job=job)
    return parser


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
