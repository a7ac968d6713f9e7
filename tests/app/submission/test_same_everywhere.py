"""Window, bundle, commands and drafts see one submission: the same strokes, findings, moments."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from analysis.clocks.alignment import Alignment
from analysis.findings.finding import Finding
from analysis.force.piece import PieceAnalysis
from app.bundle.sources.recordings import gather
from app.bundle.write import write_bundle
from app.review.finding_notes import finding_note
from app.review.parts.findings import Decision, SetThreshold
from app.review.parts.line_up import SetLineUp
from app.review.parts.notes import AddNote, Note
from app.review.parts.state import ReviewState
from app.submission.draft import draft_state, findings_to_show
from app.submission.load import begin, load
from app.submission.submission import LoadedSubmission
from app.window.session.other_recordings import own_recording
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from tests.app.submission.conftest import OFFSET_S, OWN_TITLE, Sent, write_own_wording
from tests.helpers.command_line import answer
from tests.helpers.reviews import write_review

# So deep a give is not in the force: with it that finding goes.
THRESHOLDS = (("give.depth", 60.0),)


@pytest.fixture
def session(qapp: QApplication, qtbot: QtBot, tmp_path: Path) -> Iterator[ReviewSession]:
    """The window's session, without its window."""
    parent = QObject()
    jobs, messages = Jobs(parent), Messages(parent)
    session = ReviewSession(jobs, messages, Settings(tmp_path / "settings.json"), parent)
    session.opened.connect(lambda: let_go(session))
    yield session
    session.close()
    parent.deleteLater()


def let_go(session: ReviewSession) -> None:
    """Close the film: nobody here shows it."""
    video = None if session.footage is None else session.footage.opened.take()
    if video is not None:
        video.close()


def on_bench(
    session: ReviewSession, qtbot: QtBot, sent: Sent, state: ReviewState
) -> LoadedSubmission:
    """What the window holds of a review that it opened: the one thing it shows."""
    write_review(sent.review, state)
    with qtbot.waitSignal(session.opened, timeout=20000):
        session.open_review(sent.review)
    return session.submission


def written(sent: Sent, state: ReviewState, out: Path) -> tuple[dict[str, Any], list[dict]]:
    """What the bundle's record and its table of strokes hold."""
    write_bundle(state, sent.review, out)
    rows = csv.DictReader(io.StringIO((out / "strokes.csv").read_text("utf-8")))
    return json.loads((out / "review.json").read_text("utf-8")), list(rows)


def strokes_of(piece: PieceAnalysis | None) -> list[tuple[Any, ...]]:
    if piece is None:
        return []
    both = zip(piece.strokes, piece.measures, strict=True)
    return [(s.index, s.catch_s, s.finish_s, s.next_catch_s, dict(m)) for s, m in both]


def keeping_all(state: ReviewState, found: Sequence[Finding]) -> ReviewState:
    """The review with every finding kept as a note."""
    notes = {f.code: finding_note(f) for f in found}
    kept = tuple(Decision(code, True, note.id) for code, note in notes.items())
    return replace(state, notes=(*state.notes, *notes.values()), decisions=kept)


def check_bundle(sent: Sent, loaded: LoadedSubmission, out: Path) -> None:
    """The bundle of a review that keeps all findings holds just these, and the same strokes."""
    state = keeping_all(loaded.state, loaded.findings)
    sources = gather(state, sent.review)
    assert strokes_of(sources.piece) == strokes_of(loaded.piece)
    assert {k.code: k.finding for k in sources.kept} == {f.code: f for f in loaded.findings}
    record, rows = written(sent, state, out)
    told = {f["code"]: (f["severity"], f["strokes"]) for f in record["findings"]}
    said = {f.code: f.as_dict() for f in loaded.findings}
    assert told == {code: (f["severity"], f["strokes"]) for code, f in said.items()}
    assert [float(r["catch_s"]) for r in rows] == pytest.approx(
        [s[1] for s in strokes_of(loaded.piece)], abs=1e-6
    )
    on_film = [loaded.clock.film_time(s[1]) for s in strokes_of(loaded.piece)]
    told_s = [float(r["catch_film_s"]) if r["catch_film_s"] else None for r in rows]
    assert told_s == pytest.approx(on_film, abs=1e-6)


@pytest.mark.parametrize(
    ("film", "thresholds", "own_words"),
    # Each two of them together; what is said of all three is made of these.
    [
        ("here", (), False),
        ("here", THRESHOLDS, True),
        ("missing", (), True),
        ("missing", THRESHOLDS, False),
        ("none", (), False),
        ("none", THRESHOLDS, True),
    ],
)
def test_window_and_bundle_see_one_submission(
    session: ReviewSession,
    qtbot: QtBot,
    sent: Sent,
    tmp_path: Path,
    film: str,
    thresholds: tuple,
    own_words: bool,
) -> None:
    if own_words:
        write_own_wording()
    state = replace(sent.state, thresholds=thresholds)
    if film == "missing":
        sent.film.unlink()
    elif film == "none":
        state = replace(state, video=None)
    loaded = on_bench(session, qtbot, sent, state)
    read = load(state, sent.review)
    assert loaded.piece is not None and loaded.piece is read.piece, "cut once in a process"
    assert loaded.state == read.state and loaded.clock == read.clock
    assert [f.facts for f in loaded.films] == [f.facts for f in read.films]
    assert loaded.sections == read.sections and loaded.findings == read.findings
    assert [(r.code, r.said) for r in loaded.remarks] == [(r.code, r.said) for r in read.remarks]
    assert (loaded.video_path is None) == (session.footage is None) == (film != "here")
    if session.footage is not None:
        assert loaded.film is not None and loaded.film.facts is session.footage.facts

    codes = {f.code for f in loaded.findings}
    assert ("give" in codes) is not bool(thresholds)
    titles = {f.title for f in loaded.findings}
    assert (OWN_TITLE in titles) is (own_words and "give" in codes)

    late_s = 0.0 if film == "none" else OFFSET_S
    for finding in loaded.findings:
        assert finding_note(finding).video_s == pytest.approx((finding.where.trace_s or 0) + late_s)
    assert loaded.clock.trace_time(7.0) == 7.0 - late_s
    first = strokes_of(loaded.piece)[0][1]
    assert own_recording(session).submission is loaded
    assert own_recording(session).video_s(first) == first + late_s
    check_bundle(sent, loaded, tmp_path / "out")


def test_without_the_force_recording_nothing_is_said_of_it(
    session: ReviewSession, qtbot: QtBot, sent: Sent, tmp_path: Path
) -> None:
    sent.force.unlink()
    loaded = on_bench(session, qtbot, sent, sent.state)
    assert loaded.piece is None
    assert loaded.findings == () and [r.code for r in loaded.remarks] == ["missing_trace"]
    assert loaded.force is not None and loaded.force.missing is not None
    assert loaded.clock.trace_time(7.0) == 7.0 - OFFSET_S, "as long as nobody says otherwise"
    check_bundle(sent, loaded, tmp_path / "out")


@pytest.mark.parametrize("own_words", [False, True])
def test_commands_say_what_the_window_shows(
    session: ReviewSession, qtbot: QtBot, sent: Sent, own_words: bool
) -> None:
    if own_words:
        write_own_wording()
    loaded = on_bench(session, qtbot, sent, sent.state)
    said = answer("strokes", sent.force)["strokes"]
    keys = ("index", "catch_s", "finish_s", "next_catch_s", "measures")
    assert [tuple(stroke[k] for k in keys) for stroke in said] == strokes_of(loaded.piece)

    pair = ("--pair", f"{1 + OFFSET_S}:1")
    found = answer("findings", "--video", sent.film, sent.force, *pair)["findings"]
    assert found == json.loads(json.dumps([f.as_dict() for f in loaded.findings]))
    assert (OWN_TITLE in {f["title"] for f in found}) is own_words


@pytest.mark.parametrize("own_words", [False, True])
def test_a_draft_speaks_of_what_the_window_shows(
    session: ReviewSession, qtbot: QtBot, sent: Sent, tmp_path: Path, own_words: bool
) -> None:
    if own_words:
        write_own_wording()
    loaded = on_bench(session, qtbot, sent, sent.state)
    shown = findings_to_show(loaded.findings)
    state = draft_state(loaded)
    assert [d.code for d in state.decisions] == [f.code for f in shown]

    out, pair = tmp_path / "draft", ("--pair", f"{1 + OFFSET_S}:1")
    answer("draft", sent.film, sent.force, *pair, "-o", out)
    record = json.loads((out / "review.json").read_text("utf-8"))
    assert {f["code"] for f in record["findings"]} == {f.code for f in shown}
    texts = [note["text"] for note in record["notes"]]
    assert sorted(texts) == sorted(note.text for note in state.notes)
    assert any(text.startswith(OWN_TITLE) for text in texts) is own_words
    times = [note["video_s"] for note in record["notes"]]
    assert sorted(times) == pytest.approx(sorted(n.video_s for n in state.notes), abs=1e-6)


def test_what_is_begun_is_what_is_loaded(sent: Sent) -> None:
    begun = begin([sent.force, sent.film], sent.review)
    loaded = load(replace(begun.state, alignment=sent.state.alignment), sent.review)
    assert begun.state.video == sent.state.video
    assert strokes_of(begun.piece) == strokes_of(loaded.piece)
    assert begun.film is not None and loaded.film is not None
    assert begun.film.facts == loaded.film.facts
    assert begun.film.facts is not None and begun.film.facts.duration_s == pytest.approx(14.0)


def test_what_the_coach_changes_is_judged_anew_and_nothing_else_is(
    session: ReviewSession, qtbot: QtBot, sent: Sent
) -> None:
    loaded = on_bench(session, qtbot, sent, sent.state)
    first = (loaded.sections, loaded.main_piece, loaded.raised)
    session.do(AddNote(Note("more", 8.0, "And breathe.")))
    now = session.submission
    assert now is not loaded and now.state is session.state and len(now.state.notes) == 2
    assert all(
        a is b for a, b in zip((now.sections, now.main_piece, now.raised), first, strict=True)
    )
    session.do(SetThreshold(*THRESHOLDS[0]))
    now = session.submission
    assert now.sections is first[0] and now.raised is not first[2]
    assert {f.code for f in loaded.findings} - {f.code for f in now.findings} >= {"give"}
    session.do(SetLineUp((), Alignment(1.0, 0.0, 0.01, "by hand")))
    now = session.submission
    assert now.clock.review_time(0.0) == 1.0
    assert now.findings == load(session.state, sent.review).findings
