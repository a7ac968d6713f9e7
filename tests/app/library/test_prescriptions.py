"""What is sent becomes prescriptions: finding, cue, drill, dose, until when, what to film."""

from __future__ import annotations

from analysis.findings.catalogue import read_catalogue
from analysis.findings.doses import DOSES
from app.library.collect import prescriptions_of
from app.library.latest import known_recordings, latest, names
from app.library.library import Library
from app.library.people import find_athlete
from app.library.record import record_bundle, store
from app.library.summaries import PrescriptionSummary, SentBundle
from app.review.parts.notes import new_note
from app.review.parts.sending import PickNotes, WriteWords
from app.review.parts.state import ReviewState
from tests.helpers.library_rows import told_review

NOTE = (
    "Hands away late\nCue: Hands first.\nDrill: Pauses at the finish.\nDose: 3 times ten\n"
    "Until: 3 December\nFilm: the finish, from the side"
)


def state_of(*texts: str) -> ReviewState:
    return ReviewState(review_id="r", notes=tuple(new_note(0.0, text) for text in texts))


def test_the_lines_of_a_note_are_its_parts() -> None:
    (told,) = prescriptions_of(state_of(NOTE))
    assert (told.title, told.cue, told.drill) == (
        "Hands away late", "Hands first.", "Pauses at the finish.",
    )  # fmt: skip
    assert (told.dose, told.until) == ("3 times ten", "3 December")
    assert told.film == "the finish, from the side"


def test_the_words_on_the_next_session_hold_for_all_that_say_nothing() -> None:
    state = state_of(NOTE, "Sit taller\nCue: Grow.")
    words = "Row easy.\nUntil: Christmas\nFilm: the catch"
    one, other = prescriptions_of(WriteWords("next_session", words).apply(state))
    assert (one.until, one.film) == ("3 December", "the finish, from the side")
    assert (other.until, other.film, other.dose) == ("Christmas", "the catch", "")
    plain = WriteWords("next_session", "Film six strokes.").apply(state)
    assert prescriptions_of(plain)[1].film == "Film six strokes."


def test_only_what_is_sent_was_prescribed() -> None:
    state = state_of(NOTE, "Sit taller\nCue: Grow.")
    picked = PickNotes((state.notes[1].id,)).apply(state)
    assert [told.title for told in prescriptions_of(picked)] == ["Sit taller"]


def test_each_usual_dose_belongs_to_a_finding() -> None:
    assert set(DOSES) <= set(read_catalogue().entries)
    assert DOSES["back-rounds"].said == "3 sets of 8 strokes, 16 a minute, light pressure"


def test_the_newest_bundle_says_what_was_told_last(library: Library) -> None:
    give = PrescriptionSummary("n1", "give", "Give", until="3 December")
    store(library, [told_review("Ada", 1), told_review("Ada", 2, prescriptions=(give,))])
    store(library, [told_review("Ben", 1)])
    ada = find_athlete(library, "Ada")
    assert latest(library)[ada.id].told == ()  # nothing was sent yet
    for number, day in ((2, "2026-05-02"), (1, "2026-04-01")):
        sent = SentBundle(f"{number:032x}", f"{day}T00:00:00.000+00:00")
        record_bundle(library, told_review("Ada", number).review_id, sent)
    found = latest(library)[ada.id]
    assert found.told == ("Give (until 3 December)",)
    assert found.review_id in {told_review("Ada", n).review_id for n in (1, 2)}


def test_names_and_recordings_are_known(library: Library) -> None:
    told = told_review("ben")
    store(library, [told_review("Zoe"), told])
    assert names(library) == ("ben", "Zoe")
    (recording,) = told.recordings
    assert (1001, recording.sha256) in known_recordings(library)
