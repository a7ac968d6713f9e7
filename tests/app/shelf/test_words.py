"""Words carry over; names and what was measured of somebody do not."""

from __future__ import annotations

from dataclasses import asdict, replace

from hypothesis import given
from hypothesis import strategies as st

from analysis.findings.finding import Effect, Evidence, Finding, Where
from app.review.finding_notes import finding_text
from app.shelf.explanation import Explanation
from app.shelf.words import names_somebody, put_together, taken_apart

FINDING = Finding(
    "give", "The hands give way", "drive", (0, 1), 0.4, 0.2, 0.6, 0.5, Effect(),
    Evidence("dip", 12.0, "%", 8.0, 20.0, 40.0, 1), Where(1.0, 1.0),
    what="The force dips by 12 % at 28 % of the drive.",
    cue="Hang on", drill="Pauses", caution="Stop when the back hurts.",
)  # fmt: skip
OTHER = replace(FINDING, what="The force dips by 31 % at 40 % of the drive.")


def carried(text: str, to: Finding = OTHER, athlete: str = "Anna Berg", now: str = "Ben") -> str:
    said = taken_apart(text, FINDING, athlete)
    return put_together(Explanation("0" * 32, "t", ("give",), **asdict(said)), to, now)


def test_what_was_measured_is_said_anew_and_the_rest_stays() -> None:
    text = finding_text(FINDING).replace("Cue: Hang on", "Like a rope.\nCue: Heavy hands")
    assert carried(text) == (
        "The hands give way\nThe force dips by 31 % at 40 % of the drive.\nLike a rope.\n"
        "Cue: Heavy hands\nDrill: Pauses\nWith care: Stop when the back hurts."
    )


def test_a_note_in_own_words_alone_brings_no_sentence_of_the_finding_back() -> None:
    assert carried("Heavy hands.\nDose: 3 x 10") == (
        "Heavy hands.\nDose: 3 x 10\nWith care: Stop when the back hurts."
    )


def test_the_caution_of_the_finding_is_never_lost_and_never_said_twice() -> None:
    own = "Heavy hands.\nWith care: Ask your physio."
    assert carried(own).count("With care:") == 2
    assert carried(finding_text(FINDING)).count("With care:") == 1
    assert "With care: Stop" not in carried(own, replace(OTHER, caution=""))


def test_the_next_athlete_is_called_by_their_own_name() -> None:
    assert "Ben, hang on." in carried("Anna, hang on.", now="Ben Ruder")
    assert "Ben rows well" in carried("Anna Berg rows well", now="Ben Ruder")
    assert carried("Anna, hang on.", replace(OTHER, caution=""), now="") == "hang on."
    assert "Annabel" in carried("Annabel is somebody else.")


@given(st.text("ABCxyz .,\n", max_size=200))
def test_no_name_is_carried_over(text: str) -> None:
    said = carried(f"{text} Anna Berg {text}", now="")
    assert "Anna" not in said and "Berg" not in said


def test_a_name_that_is_heard_is_known() -> None:
    assert names_somebody(["So,", "Anna,", "hang"], "Anna Berg")
    assert not names_somebody(["So", "annually"], "Anna Berg")
    assert not names_somebody(["So", "hang"], "")
