"""What is said goes along in words the coach accepted; drafts only where asked, and named so."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
import webvtt
from playwright.sync_api import Browser

from app.bundle.wording.languages import words_in
from app.bundle.wording.spoken import spoken_vtt, voice_words, walk_words
from app.bundle.wording.words import ENGLISH
from app.bundle.write import write_bundle
from app.review.parts.notes import AddVoiceNote, Voice, new_note
from app.review.parts.sending import SendingPlan, SetSending
from app.review.parts.spoken_words import AcceptWords, SpokenText, SpokenWord, WriteDown
from app.review.parts.state import ReviewState
from app.review.parts.walkthroughs import Caption, Cut, Walkthrough, new_walkthrough
from app.review.review import Review
from app.review.voice import TrimVoice, new_id, to_wav, voice_of
from tests.helpers.voices import tone

READ = "Sit tall & breathe. Then hang at the catch, with your lower back firm."
UNREAD = "Nobody has read this sentence."


def said(text: str, step_s: float = 0.25) -> tuple[SpokenWord, ...]:
    return tuple(
        SpokenWord(word, i * step_s, (i + 1) * step_s) for i, word in enumerate(text.split())
    )


def speak(review: Review, video_s: float, words: str) -> str:
    pcm = tone(4.0)
    voice = voice_of(new_id(), pcm)
    review.keep_sound(voice.id, to_wav(pcm))
    review.do(AddVoiceNote(new_note(video_s, voice=voice)))
    review.do(WriteDown(SpokenText(voice.id, said(words))))
    return voice.id


@pytest.fixture(scope="module")
def review(tmp_path_factory: pytest.TempPathFactory) -> Review:
    made = Review.create(tmp_path_factory.mktemp("said") / "said.review", ReviewState())
    read = speak(made, 1.0, READ)
    speak(made, 2.0, UNREAD)
    made.do(AcceptWords(read))
    made.do(TrimVoice(made.state.notes[0].id, 0.5, 4.0))
    return made


def folder_of(review: Review, out: Path, *, unread: bool) -> Path:
    state = SetSending(unread_words=unread).apply(review.state)
    assert review.path is not None
    return write_bundle(state, review.path, out / "fb").path


@pytest.fixture(scope="module")
def folder(review: Review, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return folder_of(review, tmp_path_factory.mktemp("out"), unread=False)


def test_accepted_words_are_captions_on_the_clock_of_what_is_heard(folder: Path) -> None:
    cues = list(webvtt.read(str(folder / "voice/note-01.vtt")))
    assert [cue.text for cue in cues] == [
        "&amp; breathe.",
        "Then hang at the catch, with your lower back firm.",
    ]
    assert cues[0].start == "00:00:00.000" and cues[1].start == "00:00:00.500"
    record = json.loads((folder / "review.json").read_text("utf-8"))
    (words,) = [note["voice_words"] for note in record["notes"] if "voice_words" in note]
    assert words["accepted"] and words["sentences"][1]["from_s"] == 0.5


def test_nothing_unread_is_sent(folder: Path) -> None:
    for path in folder.rglob("*"):
        if path.suffix in (".html", ".json", ".vtt", ".csv"):
            assert "has read this" not in path.read_text("utf-8"), path.name
    assert not (folder / "voice/note-02.vtt").exists()


def test_a_spoken_low_back_brings_the_caution(folder: Path) -> None:
    assert 'id="caution"' in (folder / "index.html").read_text("utf-8")


def test_a_draft_that_is_sent_says_what_it_is(review: Review, tmp_path: Path) -> None:
    folder = folder_of(review, tmp_path, unread=True)
    first = next(iter(webvtt.read(str(folder / "voice/note-02.vtt"))))
    assert first.text == f"[{ENGLISH['voice_words_unread']}] {UNREAD}"
    page = (folder / "index.html").read_text("utf-8")
    assert page.count(ENGLISH["voice_words_unread"]) == 1 and UNREAD in page


def test_a_click_on_a_sentence_jumps_and_without_scripts_it_is_text(
    browser: Browser, folder: Path
) -> None:
    page = browser.new_page(viewport={"width": 360, "height": 740})
    page.goto((folder / "index.html").as_uri())
    line = page.locator("#note-1 .spoken li button").nth(1)
    line.scroll_into_view_if_needed()
    line.click()
    at_s = page.evaluate("document.querySelector('#note-1 .spoken audio').currentTime")
    assert 0.4 < at_s < 3.0
    page.close()
    plain = browser.new_page(java_script_enabled=False)
    plain.goto((folder / "index.html").as_uri())
    assert plain.locator("#note-1 .spoken li").all_inner_texts()[1].startswith("Then hang")
    assert plain.locator("#note-1 .spoken button").count() == 0
    plain.close()


def walk(*captions: Caption) -> Walkthrough:
    made = new_walkthrough((), 10.0, "sound")
    return replace(made, cuts=(Cut(0.0, 1.0),), captions=captions)


def test_a_walkthrough_reads_what_was_typed_and_else_what_is_said() -> None:
    words = said("Cut away. Look here now. And this stays.", 0.5)
    spoken = SpokenText("sound", words, accepted=True)
    typed = Caption("c", 1.2, 2.4, "Typed here")
    view = walk_words(ReviewState(spoken=(spoken,)), walk(typed))
    assert view is not None and not view.unread
    assert [(s.from_s, s.text) for s in view.sentences] == [
        (pytest.approx(0.2), "Typed here"), (1.5, "And this stays."),
    ]  # fmt: skip
    draft = ReviewState(spoken=(replace(spoken, accepted=False),))
    only_typed = walk_words(draft, walk(typed))
    assert only_typed is not None and [s.text for s in only_typed.sentences] == ["Typed here"]
    assert walk_words(draft, walk()) is None
    asked = replace(draft, sending=SendingPlan(unread_words=True))
    marked = walk_words(asked, walk())
    assert marked is not None and ENGLISH["voice_words_unread"] in spoken_vtt(marked, ENGLISH)


def test_a_voice_whose_words_are_all_trimmed_away_has_none() -> None:
    spoken = SpokenText("s", said("gone"), accepted=True)
    assert voice_words(ReviewState(spoken=(spoken,)), Voice("s", 9.0, 48_000, 5.0, 9.0)) is None


def test_what_was_typed_in_another_language_than_spoken_says_so() -> None:
    words = said("Cut away. Look here now. And this stays.", 0.5)
    state = ReviewState(
        spoken=(SpokenText("sound", words),),
        sending=SendingPlan(unread_words=True, own_language="de", language="fr"),
    )
    view = walk_words(state, walk(Caption("c", 1.2, 2.4, "Hier getippt")))
    assert view is not None and view.language == "en"
    written = spoken_vtt(view, words_in("fr"))
    assert "<lang de>Hier getippt</lang>" in written
    assert f"<lang fr>[{words_in('fr')['voice_words_unread']}]</lang>" in written
    assert "\nAnd this stays." in written
    alone = walk_words(replace(state, spoken=()), walk(Caption("c", 1.2, 2.4, "Hier getippt")))
    assert alone is not None and alone.language == "de"
    assert "<lang" not in spoken_vtt(alone, words_in("fr"))
