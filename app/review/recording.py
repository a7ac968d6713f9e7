"""A voice on its way to the disk: every sample is in a file before the next one is spoken.

While a coach speaks, `NAME.voice/` beside `NAME.review` holds three files a recording: ID.lock
says that somebody is at it, ID.json which note it belongs to, and ID.wav grows with each piece of
sound. When the note is in the review they go; what a crash left behind becomes a note when the
review is opened next.
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from app.files import atomic
from app.files.plain import read_plain
from app.review.file.store import asset_names
from app.review.left_behind import HeldFolder, Recovered, remove, take_in
from app.review.parts.change import Change
from app.review.parts.check import check_state
from app.review.parts.notes import PHASES, AddVoiceNote, SetVoice, Voice, new_note
from app.review.review import Review
from app.review.voice import SHORTEST_S, to_wav, voice_of
from app.review.wav_file import WavFile, left_pcm

MOMENT_S: Final = 60.0
_MOST_WORDS: Final = 64 * 1024
_LONGEST_FILM_S: Final = 1e7


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
    """A voice being written. What `add` was given survives the process.

    Raises
    ------
    OSError
        The folder or the file cannot be made.
    """

    def __init__(self, review_path: Path, place: Place) -> None:
        self._held = HeldFolder(folder_of(review_path))
        self.id = self._held.id
        self.place = place
        try:
            # Before the first sample: a voice that nobody knows the note of is half lost.
            _write_place(self._held.path(".json"), place)
            self._wav = WavFile(self._held.path(".wav"))
        except OSError:
            with contextlib.suppress(OSError):
                self._held.discard(".json", ".wav")
            raise
        self._held.sync()

    @property
    def length_s(self) -> float:
        """Seconds taken in so far, by the count of samples."""
        return self._wav.length_s

    @property
    def pcm(self) -> bytes:
        """All samples taken in so far."""
        return self._wav.pcm

    @property
    def problem(self) -> OSError | None:
        """What the disk refused; the samples stay in memory then."""
        return self._wav.problem

    def add(self, pcm: bytes) -> None:
        """Take samples in. A disk that fails is kept in `problem`; the samples stay in memory."""
        self._wav.add(pcm)

    def finish(self) -> bytes:
        """End the file properly and return the whole recording as a WAV file."""
        wav = self._wav.finish()
        self._held.let_go()
        return wav

    def discard(self) -> None:
        """Remove the files of a recording that ended: it is in the review, or not wanted."""
        self._held.discard(".json", ".wav")


def recover(review: Review) -> Recovered:
    """Make notes of recordings that a crash left beside a review.

    A recording that another window is still making is left alone, and so is one that cannot be
    read or saved.

    Returns
    -------
    Recovered
        The lengths in seconds of the voices that were recovered, and what was left.
    """
    if review.path is None or not os.path.lexists(folder_of(review.path)):
        return Recovered()
    known = asset_names(review.path)
    return take_in(
        folder_of(review.path), ".wav", lambda wav: _recover_one(review, wav, wav.stem in known)
    )


def _recover_one(review: Review, wav: Path, is_kept: bool) -> float:
    """Take one recording in and remove its files; gives its length, 0 where nothing was new."""
    note_file = wav.with_suffix(".json")
    if not wav.exists():  # the crash came before the first sound
        _remove_alone(note_file)
        return 0.0
    if is_kept:  # the crash came between saving and removing
        remove(note_file, wav)
        return 0.0
    pcm = left_pcm(wav)
    voice = voice_of(wav.stem, pcm)
    if voice.length_s < SHORTEST_S:
        remove(note_file, wav)
        return 0.0
    change = _change_for(review, voice, _read_place(note_file))
    check_state(change.apply(review.state))  # or a sound without a note would count as kept
    review.keep_sound(voice.id, to_wav(pcm))
    review.do(change)
    if not review.unsaved:
        remove(note_file, wav)
    return voice.length_s


def _change_for(review: Review, voice: Voice, place: Place) -> Change:
    old = next((n for n in review.state.notes if n.id == place.note_id), None)
    if old is not None and old.voice is None:
        return SetVoice(old.id, voice)
    return AddVoiceNote(new_note(place.video_s, phase=place.phase, voice=voice))


def _remove_alone(note_file: Path) -> None:
    """Remove words about a recording that never came; an earlier version may be about to begin."""
    with contextlib.suppress(FileNotFoundError):
        if time.time() - note_file.lstat().st_mtime > MOMENT_S:
            remove(note_file)


def _write_place(path: Path, place: Place) -> None:
    file = atomic.create(path)
    try:
        atomic.write_all(file, json.dumps(asdict(place)).encode())
        atomic.sync_handle(file)
    finally:
        os.close(file)


def _read_place(path: Path) -> Place:
    """Read where a recording belongs; the start of the film where that was lost."""
    try:
        told: Any = json.loads(read_plain(path, _MOST_WORDS))
        found = told.get
    except (OSError, ValueError, AttributeError, RecursionError):
        return Place(0.0)
    phase, note_id = found("phase"), found("note_id")
    return Place(
        _moment(found("video_s")),
        phase if isinstance(phase, str) and phase in PHASES else "",
        note_id if isinstance(note_id, str) else "",
    )


def _moment(told: object) -> float:
    """A moment of a film; its start where it is none."""
    if isinstance(told, bool) or not isinstance(told, int | float) or abs(told) > _LONGEST_FILM_S:
        return 0.0
    return float(told) if math.isfinite(told) else 0.0
