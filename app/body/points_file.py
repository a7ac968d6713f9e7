"""Followed points as a table: `time_s`, then `NAME_x`, `NAME_y` and `NAME_sd` of each point, px."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np

from analysis.body.track import POINTS, BodyTrack, Source
from app.body.errors import BodyError
from app.files.atomic import write

COLUMNS = ("time_s", *(f"{name}_{part}" for name in POINTS for part in ("x", "y", "sd")))
# Row by row what takes a frame's pixels to those of the first one, where the camera moved.
STEADY = ("steady_xx", "steady_xy", "steady_x", "steady_yx", "steady_yy", "steady_y")
MOST_BYTES = 200_000_000  # an hour at 60 frames a second


def write_points(path: Path, track: BodyTrack) -> None:
    """Write a track, whole or not at all; what is not known stays empty.

    Points are pixels of the upright picture of their frame; where the camera's motion is known it
    stands in the columns of `STEADY`.
    """
    text = io.StringIO()
    rows = csv.writer(text)
    rows.writerow(COLUMNS if track.steady is None else (*COLUMNS, *STEADY))
    for i, (time_s, places, sd_px) in enumerate(
        zip(track.time_s, track.xy_px, track.sd_px, strict=True)
    ):
        cells = [f"{time_s:.6f}"]
        for (x, y), sd in zip(places, sd_px, strict=True):
            cells += [_cell(x), _cell(y), _cell(sd)]
        if track.steady is not None:
            cells += [f"{value:.8g}" for value in track.steady[i].ravel()]
        rows.writerow(cells)
    write(path, text.getvalue().encode("ascii"))


def read_points(path: Path) -> BodyTrack:
    """Read a table of points; columns may be missing but for the time.

    Raises
    ------
    BodyError
        It is no such table.
    """
    if path.stat().st_size > MOST_BYTES:
        raise BodyError(f"{path.name} is too large for a table of points; cut the film first.")
    try:
        rows = list(csv.reader(io.StringIO(path.read_bytes().decode("utf-8-sig"))))
        header = [name.strip() for name in rows[0]]
        table = np.array([[_value(cell) for cell in row] for row in rows[1:] if row])
    except (UnicodeDecodeError, csv.Error, ValueError, IndexError):
        raise BodyError(
            f"{path.name} is no table of points: give a CSV file as `strokeside body` writes it."
        ) from None
    if "time_s" not in header or table.ndim != 2 or table.shape[1] != len(header):
        raise BodyError(
            f"{path.name} is no table of points: it needs a column time_s and rows as long as its "
            "heading."
        )
    return _track(path, table, header)


def _track(path: Path, table: np.ndarray, header: list[str]) -> BodyTrack:
    nothing = np.full(len(table), np.nan)

    def column(name: str) -> np.ndarray:
        return table[:, header.index(name)] if name in header else nothing

    time_s = column("time_s")
    if not (np.isfinite(time_s).all() and (np.diff(time_s) > 0.0).all()):
        raise BodyError(f"{path.name} cannot be used: its time_s must be numbers that ascend.")
    xy_px = np.stack(
        [np.stack((column(f"{n}_x"), column(f"{n}_y")), axis=1) for n in POINTS], axis=1
    )
    sd_px = np.stack([column(f"{n}_sd") for n in POINTS], axis=1)
    known = np.isfinite(xy_px).all(axis=2)
    if not known.any():
        raise BodyError(f"{path.name} cannot be used: it knows no point at any moment.")
    source = np.where(known, Source.DETECTOR, Source.UNKNOWN).astype(np.uint8)
    return BodyTrack(time_s, xy_px, sd_px, source, _steady(table, header))


def _steady(table: np.ndarray, header: list[str]) -> np.ndarray | None:
    """How the camera moved, (T, 2, 3); None where the table does not say, or not of every frame."""
    if not all(name in header for name in STEADY):
        return None
    rows = np.stack([table[:, header.index(name)] for name in STEADY], axis=1).reshape(-1, 2, 3)
    turn = rows[:, :, :2]
    sound = np.isfinite(rows).all() and (np.abs(np.linalg.det(turn)) > 1e-3).all()
    return rows if sound else None


def _cell(value: float) -> str:
    return f"{value:.3f}" if np.isfinite(value) else ""


def _value(cell: str) -> float:
    return float(cell) if cell.strip() else float("nan")
