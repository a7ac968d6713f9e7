"""What decides how a piece of a bundle looks, as plain values that `clip_store.key_of` names.

Whoever keeps a piece has to name all that it was made from: footage, force, words, what is drawn
and what is hidden. Too much costs a making; too little shows an old picture.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import asdict
from functools import lru_cache
from importlib.metadata import version
from typing import Any

import numpy as np

from analysis.body.track import BodyTrack
from analysis.force.piece import PieceAnalysis
from app.bundle.wording.words import Words
from app.media.laid import Laid
from app.review.parts.state import ReviewState
from app.submission.shown_signals import shown
from app.submission.submission import LoadedSubmission

_MAKING = 3  # to be raised when the same review gives other pictures


def of_film(films: Sequence[Laid], state: ReviewState) -> dict[str, Any]:
    """Give what decides the pictures of a film: its file, its clock, its turn, what is hidden.

    Parameters
    ----------
    films : the first film and those that are shown as one with it; none where there is none
    state : the review whose film it is; of another review, its own state
    """
    if not films:
        return {"film": None, "made_by": _made_by()}
    path = films[0].path
    on_disk, known = path.stat(), state.video
    digest, clock = (str(path), None) if known is None else (known.sha256, known.capture_fps)
    return {
        "film": (digest, on_disk.st_size, on_disk.st_mtime_ns),
        "clock": clock,
        **_of_further(films[1:]),
        "turn": asdict(state.turn),
        "blurs": [asdict(b) for b in state.blurs],
        "made_by": _made_by(),
    }


def of_view(film: Laid, state: ReviewState) -> dict[str, Any]:
    """Give what decides the pictures of a second camera's film, on the clock of the first."""
    on_disk = film.path.stat()
    return {
        "view": (str(film.path), on_disk.st_size, on_disk.st_mtime_ns),
        "clock": (film.starts_s, film.capture_fps),
        "turn": asdict(state.turn),
        "made_by": _made_by(),
    }


def _of_further(films: Sequence[Laid]) -> dict[str, Any]:
    """Give what the further films add; nothing where there are none."""
    if not films:
        return {}
    disks = [(f, f.path.stat()) for f in films]
    return {
        "further": [
            (str(f.path), d.st_size, d.st_mtime_ns, f.starts_s, f.capture_fps) for f, d in disks
        ]
    }


def of_force(piece: PieceAnalysis | None) -> str:
    """Give a digest of a force recording and of its cutting into strokes."""
    if piece is None:
        return ""
    digest = hashlib.sha256()
    for column in (piece.trace.time_s, piece.trace.force_n):
        digest.update(np.ascontiguousarray(column, np.float64).tobytes())
    digest.update(repr([(s.index, s.catch_s, s.finish_s) for s in piece.strokes]).encode())
    if piece.by_time is not None:
        digest.update(np.ascontiguousarray(piece.by_time.mean, np.float64).tobytes())
    return digest.hexdigest()


def of_picture(sent: LoadedSubmission) -> dict[str, Any]:
    """Give what decides strokes of a film alone; nothing of it where there is a force."""
    if not sent.from_picture or sent.body is None:
        return {}
    digest = hashlib.sha256(repr(sent.strokes).encode())
    lead = sent.body.piece.lead
    if lead is not None:
        digest.update(np.ascontiguousarray(lead.values, np.float64).tobytes())
    return {"picture": digest.hexdigest()}


def of_signals(sent: LoadedSubmission) -> dict[str, Any]:
    """Give what decides how the signals that are shown look; nothing where none is."""
    signals = shown(sent)
    if not signals:
        return {}
    named = []
    for s in signals:
        digest = hashlib.sha256(np.ascontiguousarray(s.signal.time_s, np.float64).tobytes())
        digest.update(np.ascontiguousarray(s.signal.values, np.float64).tobytes())
        if s.signal.sd is not None:
            digest.update(np.ascontiguousarray(s.signal.sd, np.float64).tobytes())
        named.append((s.words, s.place, s.signal.digits, digest.hexdigest()))
    return {"signals": named}


def of_marks(state: ReviewState) -> dict[str, Any]:
    """Give what is drawn over a film."""
    return {"marks": [asdict(m) for m in state.marks], "scale": state.metres_per_px}


def of_track(track: BodyTrack | None) -> dict[str, Any]:
    """Give what decides the skeleton over a film; nothing where none is drawn."""
    if track is None:
        return {}
    digest = hashlib.sha256()
    for row in (track.time_s, track.xy_px, track.sd_px, track.source):
        digest.update(np.ascontiguousarray(row, np.float64).tobytes())
    return {"skeleton": digest.hexdigest()}


def of_words(words: Words) -> str:
    """Give a digest of the fixed wording."""
    return hashlib.sha256(repr(sorted(words.items())).encode()).hexdigest()


def drawn_by() -> tuple[object, ...]:
    """Name what draws curves: another version may give other bytes."""
    return (_MAKING, *map(version, ("matplotlib", "opencv-python", "numpy")))


@lru_cache(maxsize=1)
def _made_by() -> tuple[object, ...]:
    """Name what decodes, paints and packs: another version may give other bytes."""
    from app.media.encode import made_by

    painters = tuple(version(name) for name in ("matplotlib", "opencv-python", "numpy"))
    return (_MAKING, made_by(), painters)
