"""A walkthrough on its way to the disk, and what a crash left of one.

While a walkthrough is recorded, `NAME.walkthrough/` beside `NAME.review` holds ID.jsonl, one line
an event, and ID.wav, its voice. When the walkthrough is in the review the two go. The format is
described in docs/walkthrough.md.
"""

from __future__ import annotations

import contextlib
import json
import os
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, Final

from app.review.errors import ReviewError
from app.review.file.store import asset_names
from app.review.review import Review
from app.review.voice import BYTES, RATE_HZ, SHORTEST_S, new_id, to_wav
from app.review.walkthrough import Event, new_walkthrough
from app.review.walkthrough_changes import AddWalkthrough
from app.review.walkthrough_text import from_line, to_line
from app.review.wav_file import WavFile, hold, is_held, left_pcm, remove, write_all

# Besides events, the journal notes how far it came this often: a silent walkthrough has no other
# clock to tell its length by.
BEAT_S: Final = 0.5
SYNC_S: Final = 1.0


def journal_folder(review_path: Path) -> Path:
    """Where the walkthroughs of a review lie while they are recorded."""
    return Path(review_path).with_suffix(".walkthrough")


class Journal:
    """A walkthrough being written: each event is in the file before `add` returns.

    Raises
    ------
    OSError
        The folder or a file cannot be made.
    """

    def __init__(self, review_path: Path, title: str, with_sound: bool) -> None:
        folder = journal_folder(review_path)
        folder.mkdir(exist_ok=True)
        self.id = new_id()
        self.title = title
        self._path = folder / f"{self.id}.jsonl"
        self._file = os.open(self._path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_APPEND, 0o644)
        self._held = hold(self._file)
        self.events: list[Event] = []
        self.problem: OSError | None = None
        self._beat_s = 0.0
        self._synced = time.monotonic()
        self._syncer = ThreadPoolExecutor(1, "walkthrough")
        self.sound = WavFile(folder / f"{self.id}.wav") if with_sound else None
        head = {"walkthrough": 1, "title": title, "sound": with_sound}
        self._write(json.dumps(head).encode() + b"\n")

    def add(self, event: Event) -> None:
        """Take an event in. A disk that fails is kept in `problem`; the events stay in memory."""
        self.events.append(event)
        self._write(to_line(event))

    def beat(self, at_s: float) -> None:
        """Say how far the recording is."""
        if at_s - self._beat_s >= BEAT_S:
            self._beat_s = at_s
            self._write(b'{"at_s":%.6f,"is":"beat"}\n' % at_s)

    def finish(self) -> bytes:
        """End the files; return the sound as a WAV file, b"" for a silent walkthrough."""
        self._syncer.shutdown(wait=True)
        os.close(self._file)
        return self.sound.finish() if self.sound is not None else b""

    def discard(self) -> None:
        """Remove the files: the walkthrough is in the review, or not wanted."""
        remove(self._path, self._path.with_suffix(".wav"))

    def _write(self, line: bytes) -> None:
        if self.problem is not None:
            return
        try:
            write_all(self._file, line)
            if time.monotonic() - self._synced >= SYNC_S:
                self._synced = time.monotonic()
                self._syncer.submit(_sync, self._file)  # a slow disk must not stop the picture
        except OSError as error:
            self.problem = error


def _sync(file: int) -> None:
    with contextlib.suppress(OSError):
        os.fsync(file)


def recover_walks(review: Review) -> tuple[float, ...]:
    """Take in walkthroughs whose recording a crash cut off.

    One that another window is still recording is left alone, and so is one that cannot be read or
    saved.

    Returns
    -------
    tuple of float
        The lengths in seconds of those that were recovered.
    """
    if review.path is None or not journal_folder(review.path).is_dir():
        return ()
    lengths = []
    for path in sorted(journal_folder(review.path).glob("*.jsonl")):
        with contextlib.suppress(OSError, ReviewError):
            if not is_held(path):
                lengths.append(_recover_one(review, path))
    return tuple(length for length in lengths if length > 0)


def _recover_one(review: Review, path: Path) -> float:
    """Take one in and remove its files; gives its length, 0 where nothing was new."""
    wav = path.with_suffix(".wav")
    known = {walk.id for walk in review.state.walkthroughs}
    if path.stem in known or (review.path and path.stem in asset_names(review.path)):
        remove(path, wav)  # the crash came between saving and removing
        return 0.0
    title, events, last_s = _read(path)
    pcm = left_pcm(wav) if wav.is_file() else b""
    length_s = max(len(pcm) // BYTES / RATE_HZ, 0.0 if pcm else last_s)
    if length_s < SHORTEST_S:
        remove(path, wav)
        return 0.0
    if pcm:
        review.keep_sound(path.stem, to_wav(pcm))
    heard = tuple(event for event in events if event.at_s <= length_s)
    sound = path.stem if pcm else ""
    review.do(AddWalkthrough(new_walkthrough(heard, length_s, sound, title, path.stem)))
    if not review.unsaved:
        remove(path, wav)
    return length_s


def _read(path: Path) -> tuple[str, list[Event], float]:
    """Title, events and the last second noted; a line that was cut off is passed over."""
    events: list[Event] = []
    title, last_s = "", 0.0
    for line in path.read_bytes().split(b"\n"):
        try:
            told: Any = json.loads(line)
            if "walkthrough" in told:
                title = str(told["title"])
                continue
            if told["is"] != "beat":
                events.append(from_line(line))
            last_s = max(last_s, float(told["at_s"]))
        except (ValueError, KeyError, TypeError, ReviewError):
            continue
    return title, events, last_s
