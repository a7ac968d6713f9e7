"""Following the body in the window: one person, several, nobody, nothing set up."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtWidgets import QAbstractButton
from pytestqt.qtbot import QtBot

from analysis.body.detecting import network
from analysis.body.piece import FROM_PICTURE
from app.body.errors import BodyError, NotSetUpError, SeveralPeopleError
from app.body_models import fetching
from app.body_models.fetching import Outcome
from app.review.file.store import read_review
from app.review.parts.notes import AddNote, Note
from app.submission.load import load
from app.window.features.body.feature import BodyFeature
from app.window.features.body.networks import BY_HAND, FAILED, FETCH, NOT_HERE, NOT_MADE
from app.window.features.findings.feature import FindingsFeature
from app.window.features.findings.findings import Findings
from app.window.features.notes.notes import Notes
from app.window.main_window import MainWindow
from app.window.session.modes import Modes
from app.window.session.selection import Selection
from app.window.tasks.process_pool import AsideStopped
from app.window.views.picture import PictureView
from app.window.views.transport import Transport
from tests.app.window.features.body.conftest import Follower


def settled(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=30000)


def followed(bench: MainWindow, qtbot: QtBot) -> BodyFeature:
    feature = bench[BodyFeature]
    bench.menus.actions["follow_body"].trigger()
    settled(bench, qtbot)
    assert bench.session.submission.body is not None
    return feature


def go_to(bench: MainWindow, qtbot: QtBot, frame: int) -> None:
    footage = bench.session.footage
    assert footage is not None
    bench.playhead.seek(float(footage.index.time_s[frame]))
    qtbot.waitUntil(
        lambda: bench.picture.frame is not None and bench.picture.frame.index == frame,
        timeout=10000,
    )


def on_screen(picture: PictureView, x: float, y: float) -> QPoint:
    return picture.video_transform().map(QPointF(x, y)).toPoint()


def test_one_person_is_followed_kept_and_shown(film: MainWindow, qtbot: QtBot) -> None:
    assert not film.menus.actions["place_point"].isEnabled()
    feature = followed(film, qtbot)
    assert film.menus.actions["place_point"].isEnabled()
    go_to(film, qtbot, 30)
    assert {"knee", "hip", "wrist"} < set(feature.sheet.joints())
    go_to(film, qtbot, 195)
    assert "ankle" not in feature.sheet.joints(), "what is not known is not drawn"
    assert f"of {len(film.session.submission.strokes)}, {FROM_PICTURE}" in feature.panel.text
    assert "Stroke rate" in feature.panel.text
    assert film.session.review is not None and film.session.review.save()
    kept = read_review(film.session.review.path)
    again = load(kept, film.session.review.path).body
    assert again is not None
    assert [s.catch_s for s in again.strokes] == [
        s.catch_s for s in film.session.submission.strokes
    ], "window and commands see the same"


def test_several_people_are_asked_about_on_the_picture(
    film: MainWindow, qtbot: QtBot, follower: Follower
) -> None:
    feature, modes = film[BodyFeature], film[Modes]
    go_to(film, qtbot, 10)
    follower.says.append(SeveralPeopleError("There are 2 people in this film; say who it is."))
    film.menus.actions["follow_body"].trigger()
    settled(film, qtbot)
    assert "hip" in film.message_line.text and "hip" in modes.words
    for x, y in ((60.0, 50.0), (70.0, 30.0)):
        qtbot.mouseClick(
            feature.sheet, Qt.MouseButton.LeftButton, pos=on_screen(film.picture, x, y)
        )
    settled(film, qtbot)
    assert film.session.submission.body is not None and not modes.any_on
    hip, head = follower.pointed[-1]
    assert (hip.point, head.point) == ("hip", "head")
    assert (hip.x_px, hip.y_px) == (pytest.approx(60.0, abs=1.0), pytest.approx(50.0, abs=1.0))
    clicks = film.session.state.body_clicks
    assert [c.pointed for c in clicks] == [True, True]
    film.session.undo()
    assert not film.session.state.body_clicks and film.session.submission.body is None


def test_escape_takes_back_the_hip_and_then_leaves(
    film: MainWindow, qtbot: QtBot, follower: Follower
) -> None:
    feature, modes = film[BodyFeature], film[Modes]
    follower.says.append(SeveralPeopleError("There are 2 people in this film; say who it is."))
    feature.following.follow()
    settled(film, qtbot)
    feature.following.point_at(5.0, 5.0)
    modes.give_up_or_stop()
    assert feature.following.is_asking
    modes.give_up_or_stop()
    assert not modes.any_on and len(follower.pointed) == 1


@pytest.mark.parametrize(
    "error, said",
    [
        (NotSetUpError("Give points with --points."), NOT_HERE),
        (BodyError("Nobody was found in this film."), "Nobody was found in this film."),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_all_else_works(
    film: MainWindow, qtbot: QtBot, follower: Follower, error: BodyError, said: str
) -> None:
    follower.says.append(error)
    film[BodyFeature].following.follow()
    settled(film, qtbot)
    assert film.message_line.text == said
    assert film.session.state.body.readings is None
    followed(film, qtbot)


def pressed(film: MainWindow, text: str) -> None:
    """Press the button that the line of messages offers."""
    (button,) = [b for b in film.message_line.findChildren(QAbstractButton) if b.text() == text]
    button.click()


def test_what_finds_a_body_is_fetched_by_a_button_and_then_follows(
    film: MainWindow, qtbot: QtBot, follower: Follower, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No command to be typed: the first time the network is not there, the second it is."""
    outcomes = [
        Outcome(True, True, True, "All is here."),
        Outcome(False, False, False, "Type this and that.", "no network"),
    ]
    monkeypatch.setattr(fetching, "fetch_models", outcomes.pop)
    follower.says.append(NotSetUpError("Give points with --points."))
    film[BodyFeature].following.follow()
    settled(film, qtbot)
    pressed(film, FETCH)
    settled(film, qtbot)
    assert film.message_line.text == FAILED.format(why=" (no network)")
    assert film.session.state.body.readings is None
    pressed(film, "Try again")
    qtbot.waitUntil(lambda: film.session.state.body.readings is not None, timeout=20_000)
    assert outcomes == []


def test_no_message_of_the_window_names_a_command() -> None:
    for said in (NOT_HERE, NOT_MADE, FAILED):
        assert "python" not in said


def test_where_it_cannot_run_only_the_hand_is_offered(
    film: MainWindow, qtbot: QtBot, follower: Follower, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(network, "can_run", lambda: False)
    follower.says.append(NotSetUpError("Give points with --points."))
    film[BodyFeature].following.follow()
    settled(film, qtbot)
    assert film.message_line.text == NOT_MADE
    texts = [b.text() for b in film.message_line.findChildren(QAbstractButton) if b.isVisible()]
    assert FETCH not in texts and BY_HAND in texts


def test_strokes_of_a_film_alone_are_gone_to_looped_and_judged(
    film: MainWindow, qtbot: QtBot
) -> None:
    assert not film.menus.actions["next_catch"].isEnabled()
    followed(film, qtbot)
    strokes = film.session.submission.strokes
    assert film.menus.actions["next_catch"].isEnabled() and len(strokes) >= 2
    film.playhead.seek(0.0)
    film.menus.actions["next_catch"].trigger()
    assert film.playhead.wanted_s == pytest.approx(strokes[0].catch_s, abs=0.05)
    qtbot.waitUntil(lambda: film.playhead.time_s > 0.0, timeout=10000)
    film[Transport].loop_stroke()
    assert film.playhead.loop is not None
    told = film[FindingsFeature].findings
    assert told.found == film.session.submission.findings
    film.session.undo()
    assert film[Transport].clock is None and not film.menus.actions["next_catch"].isEnabled()


def test_forgetting_keeps_the_stature_and_can_be_undone(film: MainWindow, qtbot: QtBot) -> None:
    feature = followed(film, qtbot)
    feature.stature.set(" 1,84 m")
    settled(film, qtbot)
    body = film.session.submission.body
    assert body is not None and body.series.length_unit == "m"
    feature.stature.set("184")
    assert film.session.state.body.stature_m == 1.84 and "metres" in film.message_line.text
    film.menus.actions["forget_body"].trigger()
    assert film.session.submission.body is None and not feature.sheet.joints()
    film.session.undo()
    settled(film, qtbot)
    assert film.session.submission.body is not None
    assert film.session.state.body.stature_m == 1.84


def test_on_a_film_alone_following_the_body_is_offered(film: MainWindow, qtbot: QtBot) -> None:
    invitation = film[BodyFeature].invitation
    assert invitation.isVisible()
    invitation.button.click()
    settled(film, qtbot)
    assert film.session.submission.body is not None and not invitation.isVisible()
    film[Findings].choose_next(1)
    assert "not lined up" not in film.message_line.text


def test_a_note_over_a_stroke_of_the_picture_is_pinned_to_the_film(
    film: MainWindow, qtbot: QtBot
) -> None:
    followed(film, qtbot)
    clock = film[Transport].clock
    assert clock is not None and clock.is_from_picture
    stroke = clock.strokes[1]
    middle = 0.5 * (stroke.catch_s + stroke.finish_s)
    assert clock.percent_at(stroke, middle, "time") == pytest.approx(50.0)
    assert clock.percent_at(stroke, middle, "length") is None
    notes = Notes(film.playhead, film.session, film[Transport], film[Selection], film.messages)
    assert notes.phase_at(middle) == "drive" and notes.phase_at(stroke.finish_s + 0.3) == "recovery"
    film.session.do(AddNote(Note("n", middle)))
    film[Selection].choose_note("n")
    notes.span_stroke(whole=True)
    (note,) = film.session.state.notes
    assert note.stroke is None and not note.on_force
    assert note.video_s == pytest.approx(stroke.catch_s)


def test_following_can_be_stopped_and_begun_again(
    film: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = film.jobs.process_pool.call

    def until_cancelled(
        _function: str, _args: object, progress: Callable[[float, str], None],
        cancelled: Callable[[], bool],
    ) -> None:  # fmt: skip
        progress(0.25, "Following the body")
        while not cancelled():
            Event().wait(0.01)
        raise AsideStopped

    monkeypatch.setattr(film.jobs.process_pool, "call", until_cancelled)
    following = film[BodyFeature].following
    following.follow()
    assert following.is_running
    following.follow()
    assert "already" in film.message_line.text
    (job,) = film.jobs.running
    job.cancel()
    settled(film, qtbot)
    assert not following.is_running and film.session.state.body.readings is None
    monkeypatch.setattr(film.jobs.process_pool, "call", real)
    followed(film, qtbot)


def test_what_was_followed_is_there_when_the_review_is_opened_again(
    film: MainWindow, qtbot: QtBot
) -> None:
    feature = followed(film, qtbot)
    review, before = film.session.review, film.session.submission.body
    assert review is not None and review.path is not None and before is not None
    assert review.save()
    shown: list[bool] = []
    film.session.body_changed.connect(
        lambda: shown.append(film.session.submission.body is not None)
    )
    film.session.open_review(review.path)
    qtbot.waitUntil(lambda: film.session.review is not review, timeout=30000)
    settled(film, qtbot)
    after = film.session.submission.body
    assert after is not None and shown[-1]
    assert after.measures == before.measures
    assert film.menus.actions["show_body"].isEnabled()
    go_to(film, qtbot, 30)
    assert feature.sheet.joints()
