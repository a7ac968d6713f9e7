"""A voice on its way to the disk: every sample is in a file before the next one is spoken.

While a coach speaks, `NAME.voice/` beside `NAME.review` holds two files a recording: ID.json says
which note it belongs to, and ID.wav grows with each piece of sound. When the note is in the review
the two go; what a crash left behind becomes a note when the review is opened next.
"""

from __future__ import annotations

import contextlib
import json
import os
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from app.review.changes import new_note
from app.review.errors import ReviewError
from app.review.review import Review
from app.review.state import PHASES
from app.review.store import sound_ids
from app.review.voice import (
    BYTES,
    RATE_HZ,
    SHORTEST_S,
    AddVoiceNote,
    SetVoice,
    new_id,
    to_wav,
    voice_of,
)

HEADER_BYTES = len(to_wav(b""))
# How often the system is asked to bring what is written to the disk itself, against a power cut.
SYNC_S = 0.5


@dataclass(frozen=True)
class Place:
    """Which note a recording is for.

    Attributes
    ----------
    video_s : the moment it is pinned to
    note_id : the note that gets the voice, or "" for a new one
    """

    video_s: float
    phase: str = ""
    note_id: str = ""


def folder_of(review_path: Path) -> Path:
    """Where the recordings of a review lie while they are made."""
    return Path(review_path).with_suffix(".voice")


class Recording:
    """Samples being written. Nothing is buffered: what `add` was given survives the process.

    Raises
    ------
    OSError
        The folder or the file cannot be made.
    """

    def __init__(self, review_path: Path, place: Place) -> None:
        folder = folder_of(review_path)
        folder.mkdir(exist_ok=True)
        self.id = new_id()
        self.place = place
        self._wav = folder / f"{self.id}.wav"
        self._note = folder / f"{self.id}.json"
        self._note.write_text(json.dumps(asdict(place)), "utf-8")
        self._file = os.open(self._wav, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o644)
        self._held = _hold(self._file)
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
            _write_all(self._file, pcm)
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

    def discard(self) -> None:
        """Remove the files of a recording that ended: it is in the review, or not wanted."""
        _remove(self._note, self._wav)

    def _sync(self) -> None:
        if self._syncing is None or self._syncing.done():
            self._synced = self._bytes
            self._syncing = self._syncer.submit(_sync_file, self._file)


def recover(review: Review) -> tuple[float, ...]:
    """Make notes of recordings that a crash left beside a review.

    A recording that another window is still making is left alone, and so is one that cannot be
    read or saved.

    Returns
    -------
    tuple of float
        The lengths in seconds of the voices that were recovered.
    """
    if review.path is None or not folder_of(review.path).is_dir():
        return ()
    known = sound_ids(review.path)
    lengths = []
    for wav in sorted(folder_of(review.path).glob("*.wav")):
        with contextlib.suppress(OSError, ReviewError):
            if not _is_held(wav):
                lengths.append(_recover_one(review, wav, wav.stem in known))
    return tuple(length for length in lengths if length > 0)


def _recover_one(review: Review, wav: Path, is_kept: bool) -> float:
    """Take one recording in and remove its files; gives its length, 0 where nothing was new."""
    note_file = wav.with_suffix(".json")
    if is_kept:  # the crash came between saving and removing
        _remove(note_file, wav)
        return 0.0
    raw = wav.read_bytes()[HEADER_BYTES:]
    pcm = raw[: len(raw) // BYTES * BYTES]
    voice = voice_of(wav.stem, pcm)
    if voice.length_s < SHORTEST_S:
        _remove(note_file, wav)
        return 0.0
    place = _read_place(note_file)
    review.keep_sound(voice.id, to_wav(pcm))
    old = next((n for n in review.state.notes if n.id == place.note_id), None)
    if old is not None and old.voice is None:
        review.do(SetVoice(old.id, voice))
    else:
        note = new_note(place.video_s, phase=place.phase, voice=voice)
        review.do(AddVoiceNote(note))
    if not review.unsaved:
        _remove(note_file, wav)
    return voice.length_s


def _read_place(path: Path) -> Place:
    """Read where a recording belongs; the start of the film where that was lost."""
    try:
        told: Any = json.loads(path.read_text("utf-8"))
        phase = told["phase"] if told["phase"] in PHASES else ""
        return Place(float(told["video_s"]), phase, str(told["note_id"]))
    except (OSError, ValueError, KeyError, TypeError):
        return Place(0.0)


def _write_all(file: int, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[os.write(file, view) :]


def _sync_file(file: int) -> None:
    with contextlib.suppress(OSError):
        os.fsync(file)


def _remove(*paths: Path) -> None:
    for path in paths:
        path.unlink(missing_ok=True)
    with contextlib.suppress(OSError):  # another recording lies there
        paths[0].parent.rmdir()


def _hold(file: int) -> bool:
    """Mark a file as being written by a living process, where the system can."""
    try:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (ImportError, OSError):
        return False
    return True


def _is_held(path: Path) -> bool:
    with path.open("rb") as file:
        try:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except ImportError:
            return False
        except OSError:
            return True
    return False
