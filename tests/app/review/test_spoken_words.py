"""Words of a voice: a draft until they are read, corrected on their times, gone with the voice."""

from __future__ import annotations

import itertools
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.review.file.store import create_file, read_review
from app.review.parts.notes import AddVoiceNote, DeleteNote, Voice, new_note
from app.review.parts.spoken_words import (
    AcceptWords,
    CorrectWords,
    RemoveWords,
    SpokenText,
    SpokenWord,
    WriteDown,
    spoken_of,
)
from app.review.parts.state import ReviewState
from app.review.parts.walk_timing import Timing
from app.review.parts.walkthroughs import Cut
from app.review.parts.word_times import corrected, heard_words, left_words, sentences
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.voice import new_id, to_wav, voice_of


def said(text: str, step_s: float = 0.5) -> tuple[SpokenWord, ...]:
    return tuple(
        SpokenWord(word, i * step_s, (i + 1) * step_s) for i, word in enumerate(text.split())
    )


@pytest.fixture
def review(tmp_path: Path) -> Review:
    made = Review.create(tmp_path / "a.review", ReviewState(draft=True))
    pcm = bytes(2 * 48_000 * 4)
    voice = voice_of(new_id(), pcm)
    made.keep_sound(voice.id, to_wav(pcm))
    made.do(AddVoiceNote(new_note(1.0, voice=voice)))
    return made


def sound_of(review: Review) -> str:
    (note,) = review.state.notes
    assert note.voice is not None
    return note.voice.id


def path_of(review: Review) -> Path:
    assert review.path is not None
    return review.path


def test_a_draft_is_corrected_accepted_and_each_step_taken_back(review: Review) -> None:
    sound = sound_of(review)
    review.do(WriteDown(SpokenText(sound, said("hang to look at. Now push"))))
    drafted = spoken_of(review.state, sound)
    assert drafted is not None and drafted.by_program and not drafted.accepted
    review.do(CorrectWords(sound, "hang at the catch. Now push"))
    review.do(AcceptWords(sound))
    assert read_review(path_of(review)) == review.state
    accepted = spoken_of(review.state, sound)
    assert accepted is not None and accepted.accepted and accepted.by_program
    assert accepted.text == "hang at the catch. Now push"
    review.undo()
    review.undo()
    assert spoken_of(review.state, sound) == drafted
    review.do(RemoveWords(sound))
    removed = spoken_of(review.state, sound)
    assert removed is not None and removed.words == ()


def test_undo_after_speaking_takes_back_voice_and_words(review: Review) -> None:
    review.do(WriteDown(SpokenText(sound_of(review), said("one step"))))
    review.undo()
    assert review.state.notes == () and review.state.spoken == ()
    review.redo()
    assert spoken_of(review.state, sound_of(review)) is not None


def test_words_that_stay_keep_their_moments() -> None:
    words = said("hang to look at. Now push")
    right = corrected(words, "Hang at the catch. Now push hard")
    assert [w.text for w in right] == ["Hang", "at", "the", "catch.", "Now", "push", "hard"]
    assert (right[0].from_s, right[4].from_s, right[5].from_s) == (0.0, 2.0, 2.5)
    assert 0.5 <= right[1].from_s < right[2].from_s < right[3].from_s < right[3].to_s <= 2.0


@given(st.text("ab .", max_size=30), st.text("abc .", max_size=30))
def test_any_correction_can_be_kept(before: str, after: str) -> None:
    state = ReviewState(spoken=(SpokenText("s", said(before)),))
    state = replace(state, notes=(new_note(0.0, voice=Voice("s", 1.0, 48_000, 0.0, 1.0)),))
    new = CorrectWords("s", after).apply(state)
    assert new.spoken[0].text.split() == after.split()
    from app.review.parts.spoken_words import check_spoken

    check_spoken(new.spoken[0])


def test_a_deleted_voice_leaves_no_words_in_the_file(review: Review) -> None:
    sound, note = sound_of(review), review.state.notes[0]
    review.do(WriteDown(SpokenText(sound, said("nobody else shall read this"))))
    review.do(DeleteNote(note.id))
    with sqlite3.connect(path_of(review)) as database:
        assert database.execute("SELECT count(*) FROM spoken_text").fetchone() == (0,)
    review.undo()
    assert read_review(path_of(review)).spoken == review.state.spoken != ()


def test_words_of_a_voice_that_is_gone_are_refused(review: Review) -> None:
    with pytest.raises(ReviewError, match="no longer in the review"):
        review.do(WriteDown(SpokenText("another", said("late"))))


@pytest.mark.parametrize(
    ("column", "value"),
    [("times", "[[0, 1]]"), ("times", "[[5, 6], [1, 2]]"), ("times", "{"), ("accepted", 1)],
)
def test_words_a_stranger_wrote_are_checked(tmp_path: Path, column: str, value: object) -> None:
    path = tmp_path / "b.review"
    voice = Voice("s", 4.0, 48_000, 0.0, 4.0)
    spoken = SpokenText("s", said("two words"))
    create_file(path, ReviewState(notes=(new_note(0.0, voice=voice),), spoken=(spoken,)))
    with sqlite3.connect(path) as database:
        database.execute(f"UPDATE spoken_text SET {column} = ?", (value,))
    if column == "accepted":
        assert read_review(path).spoken == (replace(spoken, accepted=True),)
        return
    with pytest.raises(ReviewError):
        read_review(path)


def test_a_file_from_before_gets_the_table_with_its_first_words(review: Review) -> None:
    path = path_of(review)
    assert review.close()
    with sqlite3.connect(path) as database:
        database.execute("DROP TABLE IF EXISTS spoken_text")
    again = Review.open(path)
    again.do(WriteDown(SpokenText(sound_of(again), said("first words"))))
    assert read_review(path).spoken == again.state.spoken


def test_trimming_and_cuts_move_the_words() -> None:
    words = said("one two three four five six", 1.0)
    trimmed = heard_words(words, Voice("s", 6.0, 48_000, 2.0, 5.0))
    assert [(w.text, w.from_s, w.to_s) for w in trimmed] == [
        ("three", 0.0, 1.0), ("four", 1.0, 2.0), ("five", 2.0, 3.0),
    ]  # fmt: skip
    left = left_words(words, Timing(6.0, (Cut(1.0, 3.0),)))
    assert [(w.text, w.from_s) for w in left] == [
        ("one", 0.0), ("four", 1.0), ("five", 2.0), ("six", 3.0),
    ]  # fmt: skip


def test_sentences_are_short_enough_to_read() -> None:
    told = sentences(said("Sit tall. " + "and push with the legs " * 12))
    assert told[0].text == "Sit tall." and told[0].to_s == 1.0
    assert all(len(s.text) <= 84 for s in told)
    assert all(a.to_s <= b.from_s for a, b in itertools.pairwise(told))
