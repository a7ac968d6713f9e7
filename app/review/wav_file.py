"""Sound on its way to the disk: every sample is in a file before the next one is spoken."""

from __future__ import annotations

import contextlib
import os
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Final

from app.files import atomic
from app.files.plain import read_plain
from app.review.voice import BYTES, RATE_HZ, to_wav

HEADER_BYTES: Final = len(to_wav(b""))
# How often the system is asked to bring what is written to the disk itself, against a power cut.
SYNC_S: Final = 0.5
# Nobody speaks for longer, and the file of a review takes no more than 10**9 bytes in one piece.
LONGEST_S: Final = 6 * 3600.0
MOST_BYTES: Final = min(round(LONGEST_S * RATE_HZ) * BYTES, 10**9 - 10**6)


class WavFile:
    """Samples being written. Nothing is buffered: what `add` was given survives the process.

    Raises
    ------
    OSError
        The file cannot be made.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file = atomic.create(path)
        self._pieces: list[bytes] = []
        self._bytes = 0
        self._synced = 0
        self._syncing: Future[None] | None = None
        self.problem: OSError | None = None
        try:
            atomic.write_all(self._file, to_wav(b""))
            atomic.sync_handle(self._file)
        except OSError:
            os.close(self._file)
            raise
        self._syncer = ThreadPoolExecutor(1, "voice")

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
            atomic.write_all(self._file, pcm)
        except OSError as error:
            self.problem = error
        if self._bytes - self._synced >= SYNC_S * RATE_HZ * BYTES:
            self._sync()

    def finish(self) -> bytes:
        """End the file properly and return the whole recording as a WAV file."""
        wav = to_wav(self.pcm)
        self._syncer.shutdown(wait=True)
        with contextlib.suppress(OSError):
            os.lseek(self._file, 0, os.SEEK_SET)
            atomic.write_all(self._file, wav[:HEADER_BYTES])
            atomic.sync_handle(self._file)
        os.close(self._file)
        return wav

    def _sync(self) -> None:
        if self._syncing is None or self._syncing.done():
            self._synced = self._bytes
            self._syncing = self._syncer.submit(self._sync_now)

    def _sync_now(self) -> None:
        try:
            atomic.sync_handle(self._file)
        except OSError as error:
            self.problem = error


def left_pcm(path: Path) -> bytes:
    """The whole samples of a file that was cut off, whatever its header says.

    Raises
    ------
    OSError
        It cannot be read, is no plain file, or is longer than any voice.
    """
    raw = read_plain(path, HEADER_BYTES + MOST_BYTES)[HEADER_BYTES:]
    return raw[: len(raw) // BYTES * BYTES]
