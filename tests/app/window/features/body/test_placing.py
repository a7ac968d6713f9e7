"""Putting points right by hand: dragged, clicked, asked for, taken back."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.review.parts.state import ReviewState
from app.submission.body import body_of
from app.window.features.body.feature import BodyFeature
from app.window.main_window import MainWindow
from app.window.session.modes import Modes
from tests.app.window.features.body.test_following import followed, go_to, on_screen, settled


def joint_on_screen(bench: MainWindow, name: str) -> QPoint:
    joint = bench[BodyFeature].sheet.joints()[name]
    return on_screen(bench.picture, joint.x_px, joint.y_px)


def test_a_dragged_joint_is_kept_and_all_frames_follow(film: MainWindow, qtbot: QtBot) -> None:
    feature = followed(film, qtbot)
    go_to(film, qtbot, 60)
    film.menus.actions["place_point"].trigger()
    assert film[Modes].words
    before = film.session.submission.body
    assert before is not None
    sheet, at = feature.sheet, joint_on_screen(film, "hip")
    to = at + QPoint(20, 12)
    QTest.mousePress(sheet, Qt.MouseButton.LeftButton, pos=at)
    QTest.mouseMove(sheet, at + QPoint(10, 6))
    QTest.mouseMove(sheet, to)
    held = sheet.joints()["hip"]
    assert held.by_hand and not film.session.state.body_clicks, "kept when the hand lets go"
    QTest.mouseRelease(sheet, Qt.MouseButton.LeftButton, pos=to)
    (click,) = film.session.state.body_clicks
    there = film.picture.to_video(to.toPointF())
    assert click.point == "hip" and np.allclose((click.x_px, click.y_px), there)
    assert sheet.joints()["hip"].by_hand, "at once, before all is worked out"
    settled(film, qtbot)
    after = film.session.submission.body
    assert after is not None
    moved = np.linalg.norm(after.track.of("hip") - before.track.of("hip"), axis=1)
    assert moved[60] > 1.0 and np.nanmean(moved) > 0.2, "other frames learn of it"
    state: ReviewState = film.session.state
    again = body_of(state)
    assert again is not None and np.array_equal(
        again.track.xy_px, after.track.xy_px, equal_nan=True
    )
    film.session.undo()
    settled(film, qtbot)
    back = film.session.submission.body
    assert back is not None
    assert np.array_equal(back.track.xy_px, before.track.xy_px, equal_nan=True)


def test_dragged_again_it_is_the_same_point(film: MainWindow, qtbot: QtBot) -> None:
    feature = followed(film, qtbot)
    go_to(film, qtbot, 60)
    feature.placing.place("knee", 50.0, 40.0)
    first = film.session.state.body_clicks
    feature.placing.place("knee", 52.0, 41.0)
    (click,) = film.session.state.body_clicks
    assert click.id == first[0].id and (click.x_px, click.y_px) == (52.0, 41.0)


def test_escape_lets_the_joint_go_back_and_then_ends_it(film: MainWindow, qtbot: QtBot) -> None:
    feature = followed(film, qtbot)
    go_to(film, qtbot, 60)
    feature.placing.toggle()
    at = joint_on_screen(film, "hip")
    QTest.mousePress(feature.sheet, Qt.MouseButton.LeftButton, pos=at)
    QTest.mouseMove(feature.sheet, at + QPoint(30, 30))
    film[Modes].give_up_or_stop()
    assert feature.placing.is_on and not feature.sheet.joints()["hip"].by_hand
    film[Modes].give_up_or_stop()
    assert not feature.placing.is_on
    assert not film.session.state.body_clicks
    transparent = Qt.WidgetAttribute.WA_TransparentForMouseEvents
    assert feature.sheet.testAttribute(transparent)


def test_a_joint_that_is_not_shown_is_clicked(film: MainWindow, qtbot: QtBot) -> None:
    feature = followed(film, qtbot)
    go_to(film, qtbot, 195)
    feature.placing.toggle()
    corner = on_screen(film.picture, 3.0, 3.0)
    assert all(
        (joint_on_screen(film, n) - corner).manhattanLength() > 40 for n in feature.sheet.joints()
    )
    qtbot.mouseClick(feature.sheet, Qt.MouseButton.LeftButton, pos=corner)
    (click,) = film.session.state.body_clicks
    assert click.point == "ankle" and "ankle" in film.message_line.text
    qtbot.mouseClick(feature.sheet, Qt.MouseButton.LeftButton, pos=corner + QPoint(60, 0))
    assert len(film.session.state.body_clicks) == 1, "all joints are there now"


def test_the_next_point_is_gone_to_and_makes_the_angles_surer(
    film: MainWindow, qtbot: QtBot
) -> None:
    feature = followed(film, qtbot)
    film.menus.actions["next_point"].trigger()
    settled(film, qtbot)
    asked = feature.placing.asked
    assert asked and feature.placing.is_on and asked[0] in film.message_line.text
    at_s = film.playhead.wanted_s
    qtbot.waitUntil(lambda: abs((feature.sheet._frame.moment() or -1.0) - at_s) < 0.02)
    joint = feature.sheet.joints()[asked[0]]
    feature.placing.place(asked[0], joint.x_px, joint.y_px)
    settled(film, qtbot)
    assert feature.placing.asked == asked[1:]
    film.playhead.seek(at_s + 0.5)
    qtbot.waitUntil(lambda: feature.placing.asked == ())
