"""Where a recording stands on the clock of another."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Laid:
    """A recording on the clock of another.

    Attributes
    ----------
    starts_s : where its first shown frame stands on that clock
    capture_fps : rate a slow-motion recording was made at, where that was told
    """

    path: Path
    starts_s: float = 0.0
    capture_fps: float | None = None
