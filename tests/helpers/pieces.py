"""Small pieces with known strokes, written as force files."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np


@dataclass(frozen=True)
class KnownPiece:
    """A piece whose drives are half sines.

    Attributes
    ----------
    starts_s : when each drive begins
    dip : share of the force that is missing for a moment at 28 % of the drive
    """

    starts_s: tuple[float, ...]
    drive_s: float = 0.7
    peak_n: float = 600.0
    length_m: float = 1.4
    duration_s: float = 6.6
    sample_hz: float = 100.0
    dip: float = 0.0

    def samples(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """(N,) s, (N,) N, (N,) m."""
        time_s = np.arange(0.0, self.duration_s, 1.0 / self.sample_hz)
        force_n = np.zeros_like(time_s)
        position_m = np.zeros_like(time_s)
        for start in self.starts_s:
            share = (time_s - start) / self.drive_s
            pulling = (share >= 0) & (share <= 1)
            missing = self.dip * np.exp(-(((share[pulling] - 0.28) / 0.05) ** 2))
            force_n[pulling] = self.peak_n * np.sin(np.pi * share[pulling]) * (1 - missing)
            position_m[pulling] = 0.5 * self.length_m * (1 - np.cos(np.pi * share[pulling]))
            back = (share > 1) & (share <= 2)
            position_m[back] = 0.5 * self.length_m * (1 + np.cos(np.pi * (share[back] - 1)))
        return time_s, force_n, position_m

    def write(self, path: Path, header: str = "time_s,force_n,position_m") -> Path:
        """Write it as delimited text."""
        rows = zip(*self.samples(), strict=True)
        lines = [f"{t:.3f},{f:.3f},{x:.4f}" for t, f, x in rows]
        path.write_text("\n".join(([header] if header else []) + lines) + "\n", "utf-8")
        return path


FOUR_STROKES = KnownPiece((0.5, 2.1, 3.7, 5.3))
GIVING = KnownPiece((0.4, 1.6, 2.8, 4.0, 5.2), dip=0.45)
