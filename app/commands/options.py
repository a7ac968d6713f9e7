"""Words of the command line turned into values, and the options several commands take.

It loads next to nothing: `strokeside --help` is to be quick.
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path
from typing import Final

# As `app.review.parts.sending` has them, which takes longer to load than to say.
QUALITIES: Final = ("mail", "standard", "full")


# Handle, seat and `FIXED_POINTS`, written out: who only asks for the options waits for no arrays.
MACHINE_POINTS = (
    "handle", "seat", "stretcher", "rail_end", "wheel_centre", "front_foot_near", "front_foot_far",
    "rear_foot_near", "rear_foot_far",
)  # fmt: skip


def seconds(text: str) -> float:
    """Read a finite number of seconds."""
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(text)
    return value


def day(text: str) -> str:
    """Read a date, as it is written in ISO 8601."""
    from datetime import date

    return date.fromisoformat(text).isoformat()


def months(text: str) -> int:
    """Read a number of months, as `app.submission.my_defaults` bounds them."""
    value = int(text)
    if not 0 <= value <= 600:
        raise ValueError(text)
    return value


def times_slower(text: str) -> float:
    """Read how many times slower than life footage runs."""
    value = seconds(text)
    if not 0.1 <= value <= 100.0:
        raise ValueError(text)
    return value


def pair(text: str) -> tuple[float, float]:
    """Read VIDEO_S:TRACE_S."""
    video_s, trace_s = text.split(":")
    return seconds(video_s), seconds(trace_s)


def load(text: str) -> tuple[float, float]:
    """Read READING:NEWTONS."""
    reading, newtons = text.split(":")
    return seconds(reading), seconds(newtons)


def fault(text: str) -> tuple[str, float]:
    """Read CODE or CODE:STRENGTH."""
    code, _, strength = text.partition(":")
    return code, seconds(strength) if strength else 1.0


def add_shipped(command: argparse.ArgumentParser) -> None:
    """Let a command be run as if nobody had settled anything on this machine."""
    command.add_argument(
        "--shipped-defaults",
        action="store_true",
        help="by the numbers, words and flywheel as shipped, not by your own defaults",
    )


def add_second_view(command: argparse.ArgumentParser) -> None:
    """Whether what a second camera shows is sent."""
    command.add_argument(
        "--second-view",
        action=argparse.BooleanOptionalAction,
        help="send what a second camera shows beside stills, clips and strips, or not; as the "
        "review says without it",
    )


def add_body(command: argparse.ArgumentParser) -> None:
    """Options of `body`."""
    command.add_argument("video", type=Path, metavar="VIDEO")
    command.add_argument(
        "-o", "--output", type=Path, required=True, metavar="POINTS.csv", help="the points to write"
    )
    for point in ("hip", "head"):
        command.add_argument(
            f"--{point}", type=pixels, metavar="X,Y", help=f"where the {point} is at --at, pixels"
        )
    command.add_argument("--at", type=seconds, default=0.0, metavar="T")
    add_scale(command)
    machine = command.add_argument_group(
        "the machine in that picture",
        "pixels; handle and seat are followed, what stands still tells how the camera stood",
    )
    for point in MACHINE_POINTS:
        machine.add_argument(f"--{point.replace('_', '-')}", type=pixels, metavar="X,Y")
    machine.add_argument(
        "--rail", type=rail, metavar="M", help="metres from stretcher to rail end, as measured"
    )


def add_archive(command: argparse.ArgumentParser) -> None:
    """Options of `archive`."""
    command.add_argument("review", type=Path, metavar="REVIEW", help="left as it is")
    command.add_argument(
        "-o", "--output", type=Path, required=True, metavar="ZIP", help="must not exist yet"
    )


def add_unpack(command: argparse.ArgumentParser) -> None:
    """Options of `unpack`."""
    command.add_argument("archive", type=Path, metavar="ZIP", help="left as it is")
    command.add_argument(
        "-o", "--output", type=Path, metavar="DIR",
        help="the folder to make that of the review in; beside the archive without it",
    )  # fmt: skip


def add_points(command: argparse.ArgumentParser) -> None:
    """Options of commands that can use points that were followed before."""
    command.add_argument(
        "--points", type=Path, metavar="POINTS.csv", help="points of the body in the footage"
    )
    add_scale(command)


def add_scale(command: argparse.ArgumentParser) -> None:
    """How tall the athlete is."""
    command.add_argument(
        "--stature",
        type=stature,
        metavar="M",
        help="how tall the athlete is, metres; without it ways are shares of body length",
    )


def pixels(text: str) -> tuple[float, float]:
    """Read X,Y."""
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no place: give X,Y in pixels") from None
    if not (0.0 <= x < 1e5 and 0.0 <= y < 1e5):
        raise argparse.ArgumentTypeError(f"{text!r} is no place in a picture")
    return x, y


def rail(text: str) -> float:
    """Read a length of the machine in metres."""
    try:
        value = float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of metres") from None
    if not 0.3 <= value <= 5.0:
        raise argparse.ArgumentTypeError(f"no rail is {text} metres long; give metres such as 1.2")
    return value


def stature(text: str) -> float:
    """Read a stature in metres."""
    try:
        value = float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of metres") from None
    if not 0.8 <= value <= 2.5:
        raise argparse.ArgumentTypeError(f"nobody is {text} metres tall; give metres, such as 1.84")
    return value


def add_recordings(command: argparse.ArgumentParser) -> None:
    """Say how a command is told where the recordings of its review lie."""
    group = command.add_argument_group("recordings outside the review's folder, and other ones")
    group.add_argument(
        "--recordings-from",
        type=Path,
        metavar="FOLDER",
        help="look here for the recordings by their content, and remember where they lie",
    )
    group.add_argument(
        "--trust-paths",
        action="store_true",
        help="use the paths the review stores, wherever they lead, and remember that",
    )
    group.add_argument(
        "--other-recording",
        action="store_true",
        help="send another recording that lies under the name of the one reviewed",
    )


def add_pair(command: argparse.ArgumentParser) -> None:
    """Moments of both clocks."""
    command.add_argument(
        "--pair",
        type=pair,
        action="append",
        metavar="VIDEO_S:TRACE_S",
        help="one moment on both clocks; repeat it to find the drift too",
    )


def add_mapping(command: argparse.ArgumentParser) -> None:
    """How a force recording is to be read."""
    group = command.add_argument_group("how to read the force recording, where it does not say")
    group.add_argument("--force-column", metavar="NAME", help="a name, or a number from 1")
    group.add_argument("--force-unit", metavar="UNIT", help="N, kN, daN, kgf, lbf, or '245 N/V'")
    group.add_argument(
        "--load",
        type=load,
        action="append",
        metavar="READING:NEWTONS",
        help="what the sensor reads under a known load; repeat it for another load",
    )
    group.add_argument("--time-column", metavar="NAME", help="a name, or a number from 1")
    group.add_argument("--time-unit", metavar="UNIT", help="s, ms or us")
    group.add_argument("--interval", type=seconds, metavar="S", help="seconds between samples")
    group.add_argument("--position-column", metavar="NAME", help="a name, or a number from 1")
    group.add_argument("--position-unit", metavar="UNIT", help="m, cm or mm")
    group.add_argument(
        "--keep-rest",
        action="store_true",
        help="leave in the force what is read while nobody pulls, instead of taking it off",
    )
