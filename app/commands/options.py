"""Words of the command line turned into values."""

from __future__ import annotations

import argparse
import math
from datetime import date
from typing import Any


class OneOrTwo(argparse.Action):
    """One file or two, said so in argparse's own words."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: Any,
        option_string: str | None = None,
    ) -> None:
        """Keep the files, or refuse a third."""
        if len(values) > 2:
            parser.error("give footage, a force recording, or one of each")
        setattr(namespace, self.dest, values)


def seconds(text: str) -> float:
    """Read a finite number of seconds."""
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(text)
    return value


def day(text: str) -> str:
    """Read a date, as it is written in ISO 8601."""
    return date.fromisoformat(text).isoformat()


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


def version() -> str:
    """Return the installed version."""
    from importlib.metadata import PackageNotFoundError
    from importlib.metadata import version as installed

    try:
        return installed("strokeside")
    except PackageNotFoundError:
        return "(not installed)"
