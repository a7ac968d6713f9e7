"""Sound on its way to the disk: every sample is in a file before the next one is spoken."""

from __future__ import annotations

import contextlib
import os
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Final

from app.review.voice import BYTES, RATE_HZ, to_wav

HEADER_BYTES: Final = len(to_wav(b""))
# How often the system is asked to bring what is written to the disk itself, against a power cut.
SYNC_S: Final = 0.5


class WavFile:
    """Samples being written. Nothing is buffered: what `add` was given survives the process.

    Raises
    ------
    OSError
        The file cannot be made.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o644)
        self._held = hold(self._file)
        os.write(self._file, to_wav(b""))
        self._pieces: list[bytes] = []
        self._bytes = 0
        self._synced = 0
        self._syncing: Future[None] | None = None
        self._syncer = ThreadPoolExecutor(1, "voice")
        self.problem: OSError | None = None

    @property
    def length_s(self) -> float:
        """Seconds taken in so far, by the count of samples."""
        return self._bytes // BYTES / RATE_HZ

    @property
    def pcm(self) -> bytes:
        """All samples taken in so far."""
        return b"".join(self._pieces)

    def add(self, pcm: bytes) -> None:
        """Take samples in. A disk that fails is kept in `problem`; the samples stay in memory."""
        self._pieces.append(pcm)
        self._bytes += len(pcm)
        if self.problem is not None:
            return
        try:
            write_all(self._file, pcm)
        except OSError as error:
            self.problem = error
        if self._bytes - self._synced >= SYNC_S * RATE_HZ * BYTES:
            self._sync()

    def finish(self) -> bytes:
        """End the file properly and return the whole recording as a WAV file."""
        wav = to_wav(self.pcm)
        self._syncer.shutdown(wait=True)
        with contextlib.suppress(OSError):
            os.pwrite(self._file, wav[:HEADER_BYTES], 0)
        os.close(self._file)
        return wav

    def _sync(self) -> None:
        if self._syncing is None or self._syncing.done():
            self._synced = self._bytes
            self._syncing = self._syncer.submit(_sync_file, self._file)


def left_pcm(path: Path) -> bytes:
    """The whole samples of a file that was cut off, whatever its header says."""
    raw = path.read_bytes()[HEADER_BYTES:]
    return raw[: len(raw) // BYTES * BYTES]


def write_all(file: int, data: bytes) -> None:
    """Write all of it, however often the system has to be asked."""
    view = memoryview(data)
    while view:
        view = view[os.write(file, view) :]


def remove(*paths: Path) -> None:
    """Remove files, and their folder when it is empty then."""
    for path in paths:
        path.unlink(missing_ok=True)
    with contextlib.suppress(OSError):  # another recording lies there
        paths[0].parent.rmdir()


def hold(file: int) -> bool:
    """Mark a file as being written by a living process, where the system can."""
    try:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (ImportError, OSError):
        return False
    return True


def is_held(path: Path) -> bool:
    """Whether a living process is writing a file."""
    with path.open("rb") as file:
        try:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except ImportError:
            return False
        except OSError:
            return True
    return False


def _sync_file(file: int) -> None:
    with contextlib.suppress(OSError):
        os.fsync(file)
