"""Short simulated pieces with a fault, as the analysis would get them."""

from __future__ import annotations

from functools import cache

import numpy as np

from analysis.body.angles import BodySeries
from analysis.force.piece import PieceAnalysis, analyse
from analysis.force.trace import ForceTrace
from samples.force_recording import RecorderOptions, record
from samples.piece import Piece, PieceOptions, simulate_piece
from samples.rower import move


@cache
def rowed(fault: str = "", strength: float = 1.0, strokes: int = 12, seed: int = 7) -> Piece:
    """A piece at 24 a minute with one fault, or none."""
    faults = ((fault, strength),) if fault else ()
    return simulate_piece(
        PieceOptions(seed=seed, duration_s=2.5 * strokes + 1.0, rate_spm=24.0, faults=faults)
    )


def force_of(piece: Piece, position: bool = True, noise: float = 0.01) -> PieceAnalysis:
    """Its force at 100 Hz, analysed."""
    held = record(piece, RecorderOptions(noise=noise, position=position), 1)
    return analyse(ForceTrace(held.time_s, held.force_n, held.position_m))


def body_of(piece: Piece, start_s: float = 0.0) -> BodySeries:
    """Its body at 30 a second; `start_s` moves the video clock."""
    time_s = np.arange(0.0, float(piece.time_s[-1]), 1.0 / 30.0)
    m = move(piece, time_s)
    return BodySeries(
        time_s + start_s,
        m.angles["knee"],
        m.angles["trunk"],
        m.angles["low_back"],
        m.angles["elbow"],
        m.points["seat"][:, 0],
        m.points["handle"][:, 0],
        m.points["handle"][:, 1],
    )
