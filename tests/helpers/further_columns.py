"""Force files with invented columns: what is shown of them can come from their headings alone."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from tests.helpers.pieces import FOUR_STROKES, KnownPiece

KNOWN_HEADINGS = ("Seat (mm)", "HR [bpm]")
NONSENSE = ("Flurb [zz]",)
# Seconds in which the first further column holds nothing: within the second drive.
HOLE_S = (2.2, 2.6)


def further_values(time_s: np.ndarray, place: int) -> np.ndarray:
    """(N,) of the further column with that number: 100 at the start, and rising slowly."""
    return 100.0 * (place + 1) + (3.0 + place) * time_s + np.sin(7.0 * time_s)


def write_with(
    path: Path, headings: tuple[str, ...], piece: KnownPiece = FOUR_STROKES, hole: bool = True
) -> Path:
    """Write a force file with further columns; the first has a hole."""
    time_s, force_n, position_m = piece.samples()
    columns = [further_values(time_s, i) for i in range(len(headings))]
    if hole and columns:
        columns[0][(time_s > HOLE_S[0]) & (time_s < HOLE_S[1])] = np.nan
    lines = [",".join(("time_s", "force_n", "position_m", *headings))]
    for row in zip(time_s, force_n, position_m, *columns, strict=True):
        lines.append(",".join("" if np.isnan(v) else f"{v:.4f}" for v in row))
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path
