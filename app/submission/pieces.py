"""Force recordings cut into strokes and measured: each content once in a process.

The one place that reads a force file and analyses it.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from analysis.force.piece import PieceAnalysis
    from analysis.force.trace import ColumnMapping

    Key = tuple[str, ColumnMapping | None]

MOST_PIECES: Final = 8
MOST_SAMPLES: Final = 4_000_000  # about an hour at 1 kHz, 100 MB with its time and position

_kept: OrderedDict[Key, PieceAnalysis] = OrderedDict()
_guard = threading.Lock()
_cutting = threading.Lock()  # whoever asks for the same piece meanwhile finds it made


def piece_of(path: str | Path, mapping: ColumnMapping | None = None) -> PieceAnalysis:
    """Read a force file, cut it into strokes and measure them; what was read before is at hand.

    Parameters
    ----------
    mapping : how to read the columns; None to go by the file's own header

    Raises
    ------
    MappingNeeded
        No mapping was given and the file does not say all that is needed.
    TraceError
        The file cannot be used, in one sentence.
    """
    path = Path(path)
    digest = _digest(path)
    if digest is None:
        return _cut(path, mapping)  # its own words say what is wrong with it
    key = (digest, mapping)
    found = _at_hand(key)
    if found is not None:
        return found
    with _cutting:
        found = _at_hand(key)
        if found is None:
            stamp = _stamp(path)
            found = _cut(path, mapping)
            # A file that was written to meanwhile is not the one of that digest.
            if stamp == _stamp(path) and _digest(path) == digest:
                _keep(key, found)
    return found


def forget_pieces() -> None:
    """Let go of every piece at hand."""
    with _guard:
        _kept.clear()


def _cut(path: Path, mapping: ColumnMapping | None) -> PieceAnalysis:
    from analysis.force.intake import read_trace
    from analysis.force.piece import analyse

    return analyse(read_trace(path, mapping))


def _at_hand(key: Key) -> PieceAnalysis | None:
    with _guard:
        if key in _kept:
            _kept.move_to_end(key)
        return _kept.get(key)


def _keep(key: Key, piece: PieceAnalysis) -> None:
    """Keep a piece; the one asked for longest ago goes, never the newest."""
    with _guard:
        _kept[key] = piece
        while len(_kept) > 1 and (len(_kept) > MOST_PIECES or _samples() > MOST_SAMPLES):
            _kept.popitem(last=False)


def _samples() -> int:
    return sum(len(piece.trace.time_s) for piece in _kept.values())


def _digest(path: Path) -> str | None:
    """SHA-256 of a plain file; None where there is none to read."""
    try:
        if not path.is_file():
            return None
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError):
        return None


def _stamp(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns
