"""A voice on its way to the disk: every sample is in a file before the next one is spoken.

While a coach speaks, `NAME.voice/` beside `NAME.review` holds two files a recording: ID.json says
which note it belongs to, and ID.wav grows with each piece of sound. When the note is in the review
the two go; what a crash left behind becomes a note when the review is opened next.
"""

from __future__ import annotations

import contextlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from app.review.changes import new_note
from app.review.errors import ReviewError
from app.review.file.store import asset_names
from app.review.parts.notes import AddVoiceNote, SetVoice
from app.review.review import Review
from app.review.state import PHASES
from app.review.voice import SHORTEST_S, new_id, to_wav, voice_of
from app.review.wav_file import WavFile, is_held, left_pcm, remove


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
        folder = folder_of(review_path)
        folder.mkdir(exist_ok=True)
        self.id = new_id()
        self.place = place
        self._note = folder / f"{self.id}.json"
        self._note.write_text(json.dumps(asdict(place)), "utf-8")
        self._wav = WavFile(folder / f"{self.id}.wav")

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
        return self._wav.finish()

    def discard(self) -> None:
        """Remove the files of a recording that ended: it is in the review, or not wanted."""
        remove(self._note, self._wav.path)


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
    known = asset_names(review.path)
    lengths = []
    for wav in sorted(folder_of(review.path).glob("*.wav")):
        with contextlib.suppress(OSError, ReviewError):
            if not is_held(wav):
                lengths.append(_recover_one(review, wav, wav.stem in known))
    return tuple(length for length in lengths if length > 0)


def _recover_one(review: Review, wav: Path, is_kept: bool) -> float:
    """Take one recording in and remove its files; gives its length, 0 where nothing was new."""
    note_file = wav.with_suffix(".json")
    if is_kept:  # the crash came between saving and removing
        remove(note_file, wav)
        return 0.0
    pcm = left_pcm(wav)
    voice = voice_of(wav.stem, pcm)
    if voice.length_s < SHORTEST_S:
        remove(note_file, wav)
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
        remove(note_file, wav)
    return voice.length_s


def _read_place(path: Path) -> Place:
    """Read where a recording belongs; the start of the film where that was lost."""
    try:
        told: Any = json.loads(path.read_text("utf-8"))
        phase = told["phase"] if told["phase"] in PHASES else ""
        return Place(float(told["video_s"]), phase, str(told["note_id"]))
    except (OSError, ValueError, KeyError, TypeError):
        return Place(0.0)
