"""What a kept finding says as a note."""

from __future__ import annotations

from dataclasses import replace

from analysis.findings.finding import Effect, Evidence, Finding, Where
from app.review.finding_notes import finding_note

GIVE = Finding(
    code="give",
    title="Give after the catch",
    phase="drive",
    strokes=(1, 2, 3),
    share=0.6,
    share_low=0.3,
    share_high=0.8,
    severity=0.5,
    effect=Effect(4.0, "N s", "impulse lost"),
    evidence=Evidence("drop before force rises again", 12.0, "% of peak", 6.0, 12.0, 30.0, 2),
    where=Where(trace_s=7.25, video_s=9.5),
    what="Force rises fast, drops and rises again.",
    cue="Hang on tight.",
    drill="Legs-only strokes.",
    caution="If the low back is what yields, lower the pressure.",
)


def test_words_come_in_the_order_an_athlete_needs_them() -> None:
    assert finding_note(GIVE).text.split("\n") == [
        "Give after the catch",
        "Force rises fast, drops and rises again.",
        "Cue: Hang on tight.",
        "Drill: Legs-only strokes.",
        "With care: If the low back is what yields, lower the pressure.",
    ]


def test_stands_on_the_clearest_stroke_where_the_picture_shows_it() -> None:
    note = finding_note(GIVE)
    assert (note.video_s, note.stroke, note.phase, note.body_part) == (9.5, 2, "drive", "back")


def test_without_footage_it_stands_on_the_traces_own_clock() -> None:
    assert finding_note(replace(GIVE, where=Where(trace_s=7.25))).video_s == 7.25


def test_what_is_not_due_leaves_no_empty_line() -> None:
    note = finding_note(replace(GIVE, phase="piece", caution="", drill="  ", what=""))
    assert note.text == "Give after the catch\nCue: Hang on tight."
    assert (note.phase, note.body_part) == ("", "")


def test_two_notes_of_one_finding_have_ids_of_their_own() -> None:
    assert finding_note(GIVE).id != finding_note(GIVE).id
