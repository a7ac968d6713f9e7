"""The commands by name: what carries each out, what it is for, and the options it takes."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Final

from app.commands import options as words


def _frames_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("video", type=Path, metavar="VIDEO")


def _still_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("video", type=Path, metavar="VIDEO")
    command.add_argument("--at", type=words.seconds, required=True, metavar="T")
    _add_output(command, "PNG", "the picture to write")


def _strokes_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("trace", type=Path, metavar="TRACE")
    words.add_mapping(command)


def _align_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "video", type=Path, nargs="+", metavar="VIDEO", help="films of one piece, or their folder"
    )
    command.add_argument("trace", type=Path, metavar="TRACE")
    command.add_argument(
        "--slow-motion",
        type=words.times_slower,
        metavar="N",
        help="how many times slower than life the footage runs; found by itself without it",
    )
    words.add_mapping(command)


def _findings_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("trace", type=Path, nargs="?", metavar="TRACE")
    command.add_argument(
        "--video",
        type=Path,
        action="append",
        metavar="VIDEO",
        help="footage of the same piece; repeat it for more films, or name their folder",
    )
    words.add_points(command)
    words.add_pair(command)
    words.add_mapping(command)
    words.add_shipped(command)


def _compare_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("left", type=Path, metavar="TRACE")
    command.add_argument("right", type=Path, nargs="?", metavar="OTHER")
    for side in ("left", "right"):
        command.add_argument(
            f"--{side}-stroke", type=int, metavar="N", help="its index; the typical one without it"
        )
    words.add_mapping(command)


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
    words.add_second_view(command)
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
    words.add_second_view(command)
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
        metavar="FILE",
        help="films of one piece, a force recording, or both; or a folder or .zip with them",
    )
    words.add_pair(command)
    command.add_argument("--athlete", default="", metavar="NAME")
    command.add_argument("--title", default="", metavar="TITLE")
    words.add_mapping(command)


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
COMMANDS: Final = {
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
    "archive": ("archive.archive", "write a review with its recordings", words.add_archive),
    "unpack": ("archive.unpack", "open such a file into a folder of its own", words.add_unpack),
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
