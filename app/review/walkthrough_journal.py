"""A walkthrough on its way to the disk, and what a crash left of one.

While a walkthrough is recorded, `NAME.walkthrough/` beside `NAME.review` holds ID.lock, which says
that somebody is at it, ID.jsonl, one line an event, and ID.wav, its voice. When the walkthrough is
in the review they go. The format is described in docs/walkthrough.md.
"""

from __future__ import annotations

import contextlib
import json
import os
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Final

from app.files import atomic
from app.review.file.store import asset_names
from app.review.left_behind import HeldFolder, Recovered, remove, take_in
from app.review.parts.check import check_state
from app.review.parts.walk_events import Event
from app.review.parts.walkthrough_text import to_line
from app.review.parts.walkthroughs import AddWalkthrough, new_walkthrough
from app.review.review import Review
from app.review.voice import BYTES, RATE_HZ, SHORTEST_S, to_wav
from app.review.walkthrough_reading import read_journal
from app.review.wav_file import WavFile, left_pcm

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
        self._held = HeldFolder(journal_folder(review_path))
        self.id = self._held.id
        self.title = title
        self.events: list[Event] = []
        self.problem: OSError | None = None
        self._beat_s = 0.0
        self._synced = time.monotonic()
        head = {"walkthrough": 1, "title": title, "sound": with_sound}
        self.sound: WavFile | None = None
        try:
            self._file = atomic.create(self._held.path(".jsonl"))
            self.sound = WavFile(self._held.path(".wav")) if with_sound else None
            atomic.write_all(self._file, json.dumps(head).encode() + b"\n")
            atomic.sync_handle(self._file)
        except OSError:
            with contextlib.suppress(OSError):
                self._give_up()
            raise
        self._held.sync()
        self._syncer = ThreadPoolExecutor(1, "walkthrough")

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
        with contextlib.suppress(OSError):
            atomic.sync_handle(self._file)
        os.close(self._file)
        wav = self.sound.finish() if self.sound is not None else b""
        self._held.let_go()
        return wav

    def discard(self) -> None:
        """Remove the files: the walkthrough is in the review, or not wanted."""
        self._held.discard(".jsonl", ".wav")

    def _give_up(self) -> None:
        """Leave nothing of a recording that could not begin."""
        if self.sound is not None:
            self.sound.finish()
        if hasattr(self, "_file"):
            os.close(self._file)
        self._held.discard(".jsonl", ".wav")

    def _write(self, line: bytes) -> None:
        if self.problem is not None:
            return
        try:
            atomic.write_all(self._file, line)
            if time.monotonic() - self._synced >= SYNC_S:
                self._synced = time.monotonic()
                self._syncer.submit(self._sync)  # a slow disk must not stop the picture
        except OSError as error:
            self.problem = error

    def _sync(self) -> None:
        try:
            atomic.sync_handle(self._file)
        except OSError as error:
            self.problem = error


def recover_walks(review: Review) -> Recovered:
    """Take in walkthroughs whose recording a crash cut off.

    One that another window is still recording is left alone, and so is one that cannot be read or
    saved.

    Returns
    -------
    Recovered
        The lengths in seconds of those that were recovered, and what was left.
    """
    if review.path is None:
        return Recovered()
    return take_in(journal_folder(review.path), ".jsonl", lambda path: _recover_one(review, path))


def _recover_one(review: Review, path: Path) -> float:
    """Take one in and remove its files; gives its length, 0 where nothing was new."""
    if not path.exists():
        return 0.0
    wav = path.with_suffix(".wav")
    known = {walk.id for walk in review.state.walkthroughs}
    if path.stem in known or (review.path and path.stem in asset_names(review.path)):
        remove(path, wav)  # the crash came between saving and removing
        return 0.0
    title, events, last_s = read_journal(path)
    pcm = left_pcm(wav) if os.path.lexists(wav) else b""
    length_s = max(len(pcm) // BYTES / RATE_HZ, 0.0 if pcm else last_s)
    if length_s < SHORTEST_S:
        remove(path, wav)
        return 0.0
    heard = tuple(event for event in events if event.at_s <= length_s)
    sound = path.stem if pcm else ""
    change = AddWalkthrough(new_walkthrough(heard, length_s, sound, title, path.stem))
    check_state(change.apply(review.state))  # or its sound alone would count as kept
    if pcm:
        review.keep_sound(path.stem, to_wav(pcm))
    review.do(change)
    if not review.unsaved:
        remove(path, wav)
    return length_s
