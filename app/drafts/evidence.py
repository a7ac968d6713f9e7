"""When recordings were made, and whether their strokes keep step: what pairing asks."""

from __future__ import annotations

import contextlib
from datetime import datetime
from pathlib import Path

from app.drafts.pairing import Recorded
from app.media.source import open_container
from app.submission.kinds import kind_of
from app.submission.pieces import piece_of
from app.submission.together import judge_films


def recorded_when(path: Path) -> Recorded | None:
    """Say when a recording was made: a film by what its camera wrote, a force by its file's time.

    None where it cannot be opened, or is older than any camera that says so.
    """
    with contextlib.suppress(ValueError, OSError):
        if kind_of(path) == "video":
            return _film(path)
        trace = piece_of(path, None).trace
        end_s = path.stat().st_mtime
        return Recorded(end_s - float(trace.time_s[-1] - trace.time_s[0]), end_s)
    return None


def keeps_step(film: Path, force: Path) -> bool:
    """Whether the strokes of both surely are of one piece; False where that cannot be told."""
    with contextlib.suppress(ValueError, OSError):
        found = judge_films([film], piece_of(force, None)).found
        return found is not None and found.verdict == "lined up"
    return False


def _film(path: Path) -> Recorded:
    with open_container(path) as container:
        length_s = float(container.duration or 0) / 1e6
        said = container.metadata.get("creation_time", "")
    with contextlib.suppress(ValueError):
        start_s = datetime.fromisoformat(said.replace("Z", "+00:00")).timestamp()
        if start_s > 0.0:
            return Recorded(start_s, start_s + length_s)
    end_s = path.stat().st_mtime
    return Recorded(end_s - length_s, end_s)
