"""From a note on one athlete to a note on the next: everything of it, and nothing of the first."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from analysis.findings.finding import Finding
from app.review.finding_notes import finding_note
from app.review.parts.curve_marks import AddCurveMark, new_curve_mark
from app.review.parts.findings import KeepFinding
from app.review.parts.marks import AddMark, new_mark
from app.review.parts.notes import EditNote, SetVoice, new_note
from app.review.parts.spoken_words import SpokenText, SpokenWord, spoken_of
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.voice import samples_of, to_wav, voice_of
from app.shelf.errors import ShelfError
from app.shelf.keeping import Taken, take
from app.shelf.placing import Placed, place
from app.submission.body import loaded_body
from app.submission.submission import LoadedSubmission
from samples.camera import Camera, Facing
from samples.rower import Build
from tests.helpers.followed import track_of
from tests.helpers.rowed import force_of, rowed
from tests.helpers.submissions import VIDEO, submission_of
from tests.helpers.voices import tone

FAULT = CODE = "early-arms"
HZ = 48_000
SOUND = to_wav(tone(2.0), HZ)


@cache
def sent_of(
    athlete: str, strength: float, stature_m: float, facing: Facing = "left"
) -> LoadedSubmission:
    piece = rowed(FAULT, strength, 8)
    state = replace(
        ReviewState(), athlete=athlete, alignment=Alignment(0.0, 0.0, 0.01, "by hand"), video=VIDEO
    )
    camera = Camera(320, 180, facing)
    track = track_of(piece, 0.001, camera=camera, build=Build(stature_m))
    body = loaded_body(VIDEO, track, stature_m)
    return submission_of(state, force_of(piece), footage_s=20.0).with_body(body)


def number(moment_s: float) -> int:
    return round(moment_s * 30.0)


def in_state(sent: LoadedSubmission, state: ReviewState) -> LoadedSubmission:
    """In another state; what was followed of the body is none of it here."""
    return sent.in_state(state).with_body(sent.body)


def the(sent: LoadedSubmission) -> Finding:
    return next(f for f in sent.findings if f.code == CODE)


@pytest.fixture(scope="module")
def anna() -> LoadedSubmission:
    return sent_of("Anna Berg", 1.0, 1.84)


@pytest.fixture(scope="module")
def ben() -> LoadedSubmission:
    return sent_of("Ben Ruder", 0.8, 1.70, "right")


@pytest.fixture
def explained(anna: LoadedSubmission) -> LoadedSubmission:
    """Anna's review with a finding kept, worded, spoken and drawn."""
    finding = the(anna)
    note = finding_note(finding)
    frame = anna.body.track.xy_px[number(note.video_s)] if anna.body else np.zeros((9, 2))
    voice = replace(voice_of("a" * 32, tone(2.0), HZ), trim_start_s=0.5, trim_end_s=1.5)
    words = (
        SpokenWord("secret", 0.1, 0.3),
        SpokenWord("Anna,", 0.6, 0.8),
        SpokenWord("hang", 0.9, 1.2),
    )
    text = f"{note.text}\nAnna, like a rope.\nDose: 3 x 10"
    state = anna.state
    for change in (
        KeepFinding(finding.code, note),
        EditNote(note.id, text=text),
        SetVoice(note.id, voice),
        AddMark(new_mark("arrow", [tuple(frame[5]), tuple(frame[3])], note.video_s)),
        AddMark(new_mark("text", [(5.0, 5.0)], note.video_s + 2.0, text="elsewhere")),
        AddCurveMark(new_curve_mark("span", "time", [(5.0, 0.0), (95.0, 0.0)])),
        AddCurveMark(new_curve_mark("line", "time", [(5.0, 100.0), (95.0, 200.0)], stroke=77)),
    ):
        state = change.apply(state)
    state = replace(state, spoken=(SpokenText("a" * 32, words, accepted=True),))
    return in_state(anna, state)


def taken(sent: LoadedSubmission) -> Taken:
    note = sent.state.decisions[0].note_id
    return take(sent, note, lambda _id: SOUND, number)


def placed(got: Taken, sent: LoadedSubmission, library: Path) -> Placed:
    return place(got.explanation, the(sent), sent, library)


def test_all_of_an_explanation_is_taken_and_nothing_of_the_athlete(
    explained: LoadedSubmission,
) -> None:
    got = taken(explained)
    kept = got.explanation
    finding = the(explained)
    assert kept.codes == (finding.code,) and kept.title == finding.title
    assert kept.words == "‹athlete›, like a rope." and kept.dose == "3 x 10"
    assert kept.cue == finding.cue and kept.drill == finding.drill
    assert kept.stroke_share is None  # it stands where the finding says to look
    assert [m.kind for m in kept.marks] == ["arrow"]
    assert {a.point for a in kept.marks[0].on_body} == {"wrist", "shoulder"}
    assert [m.kind for m in kept.curve_marks] == ["span"]
    assert "Anna" not in repr(replace(kept, voice=None)) and finding.what not in repr(kept)


def test_of_a_voice_only_what_is_heard_is_kept(explained: LoadedSubmission) -> None:
    got = taken(explained)
    voice = got.explanation.voice
    assert got.wav is not None and voice is not None
    assert voice.length_s == pytest.approx(1.0)
    assert np.array_equal(samples_of(got.wav), samples_of(SOUND)[HZ // 2 : HZ * 3 // 2])
    assert [w.text for w in voice.words] == ["Anna,", "hang"]
    assert voice.words[0].from_s == pytest.approx(0.1) and voice.accepted
    assert voice.says_name and "says the athlete's name" in got.remarks[0]


def test_it_becomes_one_step_on_the_next_athlete(
    explained: LoadedSubmission, ben: LoadedSubmission, tmp_path: Path
) -> None:
    got = taken(explained)
    to = placed(got, ben, tmp_path)
    review = Review(ben.state)
    review.do(to.change)
    state, finding = review.state, the(ben)
    (note,) = state.notes
    assert state.decisions[0].code == finding.code and state.decisions[0].note_id == note.id
    assert note.video_s == pytest.approx(finding_note(finding).video_s)
    assert "Ben, like a rope." in note.text and finding.what in note.text
    assert "Anna" not in note.text
    assert note.voice is not None and note.voice.id == to.sound_id != "a" * 32
    spoken = spoken_of(state, note.voice.id)
    assert spoken is not None and spoken.text == "Anna, hang"
    assert any("says the name" in said for said in to.said)
    (mark,) = state.marks
    assert ben.body is not None and mark.video_s == note.video_s
    joints = ben.body.track.xy_px[number(note.video_s)]
    assert math.dist(mark.points_px[0], joints[5]) < 4.0
    assert math.dist(mark.points_px[1], joints[3]) < 4.0
    assert "1 mark follows their body." in to.said
    assert [m.kind for m in state.curve_marks] == ["span"]
    review.undo()
    assert review.state == replace(ben.state, review_id=review.state.review_id)


def test_used_twice_it_is_drawn_once(
    explained: LoadedSubmission, ben: LoadedSubmission, tmp_path: Path
) -> None:
    got = taken(explained)
    state = ben.state
    for _ in range(2):
        state = placed(got, ben, tmp_path).change.apply(state)
    assert (len(state.notes), len(state.marks), len(state.curve_marks)) == (1, 1, 1)
    assert len(state.spoken) == 1


def test_a_note_the_coach_moved_stands_as_far_into_the_other_stroke(
    explained: LoadedSubmission, ben: LoadedSubmission, tmp_path: Path
) -> None:
    note = explained.state.notes[0]
    stroke = next(s for s in explained.strokes if s.index == note.stroke)
    middle = stroke.finish_s + 0.4
    moved = in_state(explained, EditNote(note.id, video_s=middle).apply(explained.state))
    got = taken(moved)
    assert got.explanation.stroke_share is not None and got.explanation.stroke_share > 1.0
    to = placed(got, ben, tmp_path).change.note
    other = next(s for s in ben.strokes if s.index == the(ben).evidence.stroke)
    assert other.next_catch_s is not None and stroke.next_catch_s is not None
    share = (to.video_s - other.finish_s) / (other.next_catch_s - other.finish_s)
    was = (middle - stroke.finish_s) / (stroke.next_catch_s - stroke.finish_s)
    assert share == pytest.approx(was, abs=0.01)


def test_a_note_of_no_finding_is_kept_for_the_one_beside_it(anna: LoadedSubmission) -> None:
    note = new_note(2.0, "Look ahead, not down.")
    sent = in_state(anna, replace(anna.state, notes=(note,)))
    code = the(anna).code
    beside = take(sent, note.id, lambda _id: b"", number, code).explanation
    assert beside.codes == (code,) and beside.words == "Look ahead, not down."
    alone = take(sent, note.id, lambda _id: b"", number).explanation
    assert alone.codes == () and alone.title == "Look ahead, not down."


def test_what_a_submission_lacks_is_left_out_and_said(
    explained: LoadedSubmission, anna: LoadedSubmission, tmp_path: Path
) -> None:
    bare = submission_of(replace(anna.state, video=None, athlete=""), anna.piece)
    to = place(taken(explained).explanation, the(anna), bare, tmp_path)
    assert to.change.marks == () and len(to.change.curve_marks) == 1
    assert any("left out" in said for said in to.said)
    assert "like a rope." in to.change.note.text and "‹" not in to.change.note.text


def test_a_voice_that_is_too_long_is_not_kept(
    explained: LoadedSubmission, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.shelf.keeping.LONGEST_VOICE_S", 0.5)
    with pytest.raises(ShelfError, match="trim it first"):
        taken(explained)
