"""Voices in the review: their samples outlive undo, crashes, a full disk and trimming."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.files import atomic
from app.review import undoing
from app.review.file.store import asset_names, read_asset, read_review
from app.review.parts.notes import (
    AddVoiceNote,
    DeleteNote,
    EditNote,
    Note,
    SetVoice,
    Voice,
    new_note,
)
from app.review.parts.state import ReviewState
from app.review.recording import Place, Recording, folder_of, recover
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.voice import (
    SHORTEST_S,
    TrimVoice,
    heard,
    new_id,
    samples_of,
    to_wav,
    trimmed,
    voice_of,
)
from app.review.wav_file import HEADER_BYTES
from tests.helpers.reviews import save_as

ROOT = Path(__file__).parents[3]
RATE = 48_000


def pcm(seconds: float, start: int = 0) -> bytes:
    """Samples that each differ from the one before, so that a lost one shows."""
    count = round(seconds * RATE)
    return b"".join(
        ((start + i) * 7 % 60_000 - 30_000).to_bytes(2, "little", signed=True) for i in range(count)
    )


@pytest.fixture
def review(tmp_path: Path) -> Review:
    return Review.create(tmp_path / "piece.review", ReviewState(title="Piece"))


def path_of(review: Review) -> Path:
    assert review.path is not None
    return review.path


def speak(review: Review, samples: bytes, video_s: float = 1.0) -> Note:
    voice = voice_of(new_id(), samples)
    review.keep_sound(voice.id, to_wav(samples))
    note = new_note(video_s, voice=voice)
    review.do(AddVoiceNote(note))
    return note


def test_a_voice_is_read_back_and_any_wav_reader_reads_it(review: Review) -> None:
    samples = pcm(1.0)
    note = speak(review, samples)
    again = Review.open(path_of(review))
    assert again.state == review.state
    assert note.voice is not None
    assert samples_of(again.sound(note.voice.id)).tobytes() == samples
    assert read_asset(path_of(review), note.voice.id)[:4] == b"RIFF"
    with pytest.raises(ReviewError, match="record it anew"):
        again.sound("no such sound")


def test_ordinary_savings_leave_the_sounds_alone(review: Review) -> None:
    note = speak(review, pcm(0.5))
    with sqlite3.connect(path_of(review)) as db:
        db.execute("UPDATE asset SET data = 'seen'")
    db.close()
    review.do(EditNote(note.id, text="Sit up."))
    review.do(EditNote(note.id, video_s=3.0))
    with sqlite3.connect(path_of(review)) as db:
        assert db.execute("SELECT data FROM asset").fetchall() == [("seen",)]
    db.close()


def test_undo_brings_a_deleted_voice_back_also_in_the_next_session(review: Review) -> None:
    path, note = path_of(review), speak(review, pcm(0.5))
    assert note.voice is not None
    review.do(DeleteNote(note.id))
    assert asset_names(path) == {note.voice.id}  # undo may still want it
    review.undo()
    assert review.state.notes == (note,)
    review.redo()
    assert review.close()
    later = Review.open(path)
    later.undo()
    assert later.state.notes == (note,)
    assert samples_of(later.sound(note.voice.id)).tobytes() == pcm(0.5)


def test_a_deleted_voice_goes_at_closing_once_undo_no_longer_holds_it(
    review: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, note = path_of(review), speak(review, pcm(0.5))
    assert note.voice is not None
    monkeypatch.setattr(undoing, "MOST_ASSET_BYTES", 20_000)  # less than half a second of voice
    review.do(DeleteNote(note.id))
    review.do(AddVoiceNote(new_note(2.0, "Typed.")))
    assert asset_names(path) == {note.voice.id}
    assert review.close()
    assert asset_names(path) == frozenset()
    later = Review.open(path)
    assert later.undo_label == "voice note"
    later.undo()
    assert later.undo_label is None and later.state.notes == ()


def test_a_deletion_of_this_session_outlives_its_own_savings(review: Review) -> None:
    note = speak(review, pcm(0.5))
    later = Review.open(path_of(review))
    later.do(DeleteNote(note.id))
    later.do(AddVoiceNote(new_note(2.0, "Typed.")))
    later.undo()
    later.undo()
    assert note.voice is not None
    assert samples_of(later.sound(note.voice.id)).tobytes() == pcm(0.5)
    assert read_review(path_of(review)).notes == (note,)


def test_saving_under_another_name_takes_the_sounds_along(review: Review, tmp_path: Path) -> None:
    note = speak(review, pcm(0.5))
    again = Review.open(path_of(review))
    save_as(again, tmp_path / "copy.review")
    path_of(review).unlink()
    assert note.voice is not None
    assert samples_of(read_asset(tmp_path / "copy.review", note.voice.id)).tobytes() == pcm(0.5)


def test_a_voice_spoken_while_the_file_could_not_be_saved_comes_with_the_next_saving(
    review: Review,
) -> None:
    path = path_of(review)
    told: list[str] = []
    review.on_save_error = told.append
    kept = path.read_bytes()
    path.unlink()
    path.mkdir()
    note = speak(review, pcm(0.5))
    assert told and review.unsaved
    path.rmdir()
    path.write_bytes(kept)
    assert review.save() and note.voice is not None
    assert samples_of(read_asset(path, note.voice.id)).tobytes() == pcm(0.5)


def test_words_and_voice_changes_undo_in_their_own_steps(review: Review) -> None:
    note = speak(review, pcm(2.0))
    review.do(TrimVoice(note.id, start_s=0.3, gesture="g"))
    review.do(TrimVoice(note.id, start_s=0.5, gesture="g"))
    review.do(TrimVoice(note.id, end_s=1.5, gesture="h"))
    voice = review.state.notes[0].voice
    assert voice is not None and (voice.trim_start_s, voice.trim_end_s) == (0.5, 1.5)
    review.undo()
    review.undo()
    assert review.state.notes == (note,)
    review.do(SetVoice(note.id, None))
    assert review.state.notes[0].voice is None
    with pytest.raises(ReviewError, match="no voice"):
        review.do(TrimVoice(note.id, start_s=0.1))


@pytest.mark.parametrize(
    "bad",
    [
        Voice("a", 1.0, RATE, -0.1, 1.0),
        Voice("a", 1.0, RATE, 0.0, 1.1),
        Voice("a", 1.0, RATE, 0.5, 0.5),
        Voice("a", 1.0, 0, 0.0, 1.0),
        Voice("a", float("nan"), RATE, 0.0, 1.0),
    ],
)
def test_a_voice_outside_its_recording_is_refused(review: Review, bad: Voice) -> None:
    with pytest.raises(ReviewError):
        review.do(AddVoiceNote(new_note(1.0, voice=bad)))


seconds = st.floats(-5.0, 15.0)


@given(st.floats(SHORTEST_S, 10.0), st.lists(st.tuples(st.booleans(), seconds), max_size=8))
def test_trimming_never_leaves_the_recording_and_never_leaves_nothing(
    length_s: float, moves: list[tuple[bool, float]]
) -> None:
    voice = whole = Voice("a", length_s, RATE, 0.0, length_s)
    for moves_start, at_s in moves:
        voice = trimmed(voice, at_s, None) if moves_start else trimmed(voice, None, at_s)
        assert 0.0 <= voice.trim_start_s < voice.trim_end_s <= length_s
        assert voice.heard_s >= SHORTEST_S - 1e-9
    assert trimmed(trimmed(voice, 0.0), None, length_s) == whole


def test_what_is_heard_is_cut_at_the_sample() -> None:
    samples = samples_of(to_wav(pcm(1.0)))
    voice = trimmed(voice_of("a", pcm(1.0)), 0.25, 0.75)
    assert heard(samples, voice).tolist() == samples[12_000:36_000].tolist()


SPEAKER = """
import sys, time
from pathlib import Path
from app.review.recording import Place, Recording
from tests.app.review.test_voice import pcm
recording = Recording(Path(sys.argv[1]), Place(4.5, "drive"))
piece = 2048
whole = pcm(3.0)
for at in range(0, len(whole), piece * 2):
    recording.add(whole[at : at + piece * 2])
print(len(whole), flush=True)
time.sleep(60)
"""


def kill_a_speaker(review: Path) -> bytes:
    """Let another process speak 3 s and kill it; return all that it had been given."""
    with subprocess.Popen(
        [sys.executable, "-c", SPEAKER, str(review)],
        stdout=subprocess.PIPE, text=True, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as child:  # fmt: skip
        assert child.stdout is not None
        told = int(child.stdout.readline())
        assert recover(Review.open(review)) == ()  # somebody still speaks there
        child.send_signal(signal.SIGKILL)
    assert child.returncode == -signal.SIGKILL
    whole = pcm(3.0)
    assert len(whole) == told
    return whole


def test_killed_in_the_middle_all_that_was_heard_becomes_a_note(review: Review) -> None:
    """All but the last second is the aim; every piece handed over survives."""
    path = path_of(review)
    whole = kill_a_speaker(path)
    again = Review.open(path)
    assert recover(again) == (3.0,)
    (note,) = again.state.notes
    assert (note.video_s, note.phase) == (4.5, "drive") and note.voice is not None
    assert samples_of(read_asset(path, note.voice.id)).tobytes() == whole
    assert not folder_of(path).exists()
    assert recover(again) == ()
    assert read_review(path) == again.state


def left_over(review: Review, place: Place, samples: bytes) -> Path:
    """What a crash leaves: a file whose header still says that it is empty."""
    left = Recording(path_of(review), place)
    left.add(samples)
    left._wav._syncer.shutdown(wait=True)
    os.close(left._wav._file)
    left._held.let_go()
    return folder_of(path_of(review)) / f"{left.id}.wav"


def test_a_recording_cut_in_the_middle_of_a_sample_is_recovered(review: Review) -> None:
    wav = left_over(review, Place(1.0), pcm(0.5))
    with wav.open("ab") as file:
        file.write(b"x")
    assert recover(review) == (0.5,)


def test_a_rerecording_becomes_a_note_of_its_own_beside_the_old_voice(review: Review) -> None:
    note = speak(review, pcm(0.5))
    left_over(review, Place(1.0, "", note.id), pcm(0.75))
    assert recover(review) == (0.75,)
    assert [n.voice.length_s for n in review.state.notes if n.voice] == [0.5, 0.75]


def test_a_typed_note_gets_the_voice_that_was_meant_for_it(review: Review) -> None:
    note = new_note(1.0, "Sit up.")
    review.do(AddVoiceNote(note))
    left_over(review, Place(1.0, "", note.id), pcm(0.75))
    recover(review)
    (only,) = review.state.notes
    assert only.text == "Sit up." and only.voice is not None


def test_a_crash_between_saving_and_tidying_makes_no_second_note(review: Review) -> None:
    left = Recording(path_of(review), Place(1.0))
    left.add(pcm(0.5))
    review.keep_sound(left.id, left.finish())
    review.do(AddVoiceNote(new_note(1.0, voice=voice_of(left.id, left.pcm))))
    assert recover(Review.open(path_of(review))) == ()
    assert not folder_of(path_of(review)).exists() and len(review.state.notes) == 1


def test_lost_words_about_the_place_do_not_lose_the_voice(review: Review) -> None:
    wav = left_over(review, Place(9.0, "drive"), pcm(0.5))
    wav.with_suffix(".json").write_text("{half")
    assert recover(review) == (0.5,)
    assert review.state.notes[0].video_s == 0.0


def test_less_than_a_word_is_tidied_away(review: Review) -> None:
    left_over(review, Place(1.0), pcm(0.1))
    assert recover(review) == () and review.state.notes == ()
    assert not folder_of(path_of(review)).exists()


def test_a_finished_file_is_a_whole_wav_file(review: Review) -> None:
    left = Recording(path_of(review), Place(1.0))
    left.add(pcm(0.5))
    wav = left.finish()
    (on_disk,) = folder_of(path_of(review)).glob("*.wav")
    assert on_disk.read_bytes() == wav and len(wav) == HEADER_BYTES + 48_000
    left.discard()
    assert not folder_of(path_of(review)).exists()


def test_a_disk_that_fills_up_keeps_the_voice_in_memory(
    review: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = Recording(path_of(review), Place(1.0))
    left.add(pcm(0.25))

    def full(_file: int, _data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic, "write_all", full)
    left.add(pcm(0.25, 12_000))
    assert left.problem is not None and left.length_s == 0.5
    assert samples_of(left.finish()).tobytes() == pcm(0.5)


def test_no_sound_is_told_apart_from_a_broken_one() -> None:
    with pytest.raises(ReviewError, match="cannot be read"):
        samples_of(b"RIFF")
    stereo = bytearray(to_wav(pcm(0.1)))
    stereo[22] = 2
    with pytest.raises(ReviewError, match="one channel"):
        samples_of(bytes(stereo))


def test_slow_motion_does_not_stretch_a_voice(review: Review) -> None:
    note = speak(review, pcm(0.5))
    moved = replace(note, video_s=2.0)
    review.do(EditNote(note.id, video_s=2.0))
    assert review.state.notes == (moved,)
