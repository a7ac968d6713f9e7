"""How the words of a note are set."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from app.bundle.wording.note_text import NotePart, note_parts

LINES = st.lists(
    st.sampled_from(["Cue: hang", "drill: ten", "With care: stop", "Cue:", "a", "", " b "])
)


def test_cue_drill_and_care_stand_apart() -> None:
    text = (
        "Give\nForce drops.\nAnd rises.\nCue: Hang on.\nDrill: Legs only.\nWith care: Stop at pain."
    )
    assert note_parts(text) == (
        NotePart("title", "Give"),
        NotePart("plain", "Force drops.\nAnd rises."),
        NotePart("cue", "Hang on."),
        NotePart("drill", "Legs only."),
        NotePart("care", "Stop at pain."),
    )


def test_a_coach_may_write_the_marks_in_german() -> None:
    parts = note_parts("Lang\nMerksatz: Arme lang.\nÜbung: Nur Beine.\nMit Vorsicht: Halt.")
    assert [part.kind for part in parts] == ["title", "cue", "drill", "care"]


def test_a_plain_note_stays_as_it_was_typed() -> None:
    text = "Sit up.\n\nThen push: cue: none."
    assert note_parts(text) == (NotePart("plain", text),)


def test_a_long_first_line_is_no_title() -> None:
    long = "word " * 30
    assert note_parts(f"{long}\nCue: sit")[0].kind == "plain"


@given(LINES)
def test_no_word_is_lost(lines: list[str]) -> None:
    said = " ".join(part.text for part in note_parts("\n".join(lines)))
    for word in ("hang", "ten", "stop", "a", "b"):
        typed = sum(word in line.split() for line in lines)
        assert said.split().count(word) == typed
