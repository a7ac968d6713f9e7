"""What a film's own head says of it, without counting its frames: for choosing among several."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from app.media.errors import MediaError
from app.media.source import open_container

_EARLIEST = 1990  # a camera without a clock says 1904 or 1970


@dataclass(frozen=True)
class ToldByFilm:
    """What the head says, which nobody has checked.

    Attributes
    ----------
    length_s : seconds, None where it does not say
    began_at : when it was recorded, in seconds since 1970, None where it does not say
    """

    length_s: float | None = None
    began_at: float | None = None


def told_by(path: Path) -> ToldByFilm:
    """Read the head of a film; what cannot be read says nothing."""
    try:
        container = open_container(path)
    except (MediaError, OSError):
        return ToldByFilm()
    with container:
        length_us = container.duration
        length_s = None if not length_us or length_us <= 0 else length_us / 1e6
        return ToldByFilm(length_s, _moment(container.metadata.get("creation_time", "")))


def _moment(text: str) -> float | None:
    with contextlib.suppress(ValueError, OverflowError, OSError):
        moment = datetime.fromisoformat(text)
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=UTC)
        if moment.year > _EARLIEST:
            return moment.timestamp()
    return None
