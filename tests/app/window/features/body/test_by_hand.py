"""Following without anything that finds a body: one stroke is placed, and carried on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from analysis.body.following.observed import Observed
from analysis.body.track import Click, Source
from app.body import by_hand as by_hand_of_film
from app.body.errors import NotSetUpError
from app.window.features.body.by_hand import FOUND_ALREADY, NOTHING_LEFT
from app.window.features.body.feature import BodyFeature
from app.window.features.body.networks import NOT_HERE
from app.window.main_window import MainWindow
from app.window.session.modes import Modes
from tests.app.window.features.body.conftest import Follower, short_track
from tests.app.window.features.body.test_following import followed, go_to, on_screen, settled
from tests.helpers.followed import followed_as


@pytest.fixture
def carried(monkeypatch: pytest.MonkeyPatch) -> list[Sequence[Click]]:
    """The film read, and points carried, at once; what was carried with which clicks."""
    whole = followed_as(short_track()).observed
    seen: list[Sequence[Click]] = []

    def read(
        path: Path, cancelled: Callable[[], bool], progress: Callable[[float], None]
    ) -> Observed:
        nothing = np.full_like(whole.xy_px, np.nan)
        none = np.zeros_like(whole.source)
        return replace(whole, xy_px=nothing, sd_px=nothing[..., 0], source=none)

    def carry(
        path: Path, observed: Observed, clicks: Sequence[Click], cancelled: Callable[[], bool],
        progress: Callable[[float], None],
    ) -> Observed:  # fmt: skip
        seen.append(tuple(clicks))
        known = np.isfinite(whole.xy_px).all(axis=2)
        source = np.where(known, np.uint8(Source.FLOW), np.uint8(0))
        return replace(observed, xy_px=whole.xy_px, sd_px=whole.sd_px, source=source)

    monkeypatch.setattr(by_hand_of_film, "frames_read", read)
    monkeypatch.setattr(by_hand_of_film, "carried_on", carry)
    return seen


def test_one_stroke_clicked_carries_the_film(
    film: MainWindow, qtbot: QtBot, follower: Follower, carried: list[Sequence[Click]]
) -> None:
    said: list[str] = []
    film.messages.said.connect(lambda text, *_rest: said.append(text))
    follower.says = [NotSetUpError("Not here.")]
    film.menus.actions["follow_body"].trigger()
    settled(film, qtbot)
    assert film.message_line.text == NOT_HERE
    assert not film.menus.actions["place_point"].isEnabled()
    film.menus.actions["body_by_hand"].trigger()
    settled(film, qtbot)
    feature = film[BodyFeature]
    assert len(feature.placing.wanted) == 7 and "ankle" in said[-1]
    truth = short_track()
    for moment in range(8):
        at = int(np.argmin(np.abs(truth.time_s - film.playhead.wanted_s)))
        go_to(film, qtbot, at)
        assert any(f"Moment {moment + 1} of 8" in text for text in said)
        for name in feature.placing.wanted:
            x, y = truth.of(name)[at]
            feature.placing.place_wanted(float(x), float(y))
        settled(film, qtbot)
    assert len(carried) == 1 and len(carried[0]) >= 50
    settled(film, qtbot)
    assert any("carried through the film" in text for text in said)
    assert film.session.submission.strokes and film.session.submission.from_picture
    film.menus.actions["next_point"].trigger()
    settled(film, qtbot)
    assert any("Place here" in text for text in said)


def test_escape_keeps_what_was_placed_and_a_joint_may_be_skipped(
    film: MainWindow, qtbot: QtBot, carried: list[Sequence[Click]]
) -> None:
    film.menus.actions["body_by_hand"].trigger()
    settled(film, qtbot)
    feature = film[BodyFeature]
    feature.placing.skip()
    assert "knee" in film.message_line.text, "an ankle that is not seen is left"
    # What is placed is placed on the frame that is seen, and that may still be on its way.
    qtbot.waitUntil(lambda: film.playhead.time_s == film.playhead.wanted_s, timeout=30000)
    feature.placing.place_wanted(100.0, 90.0)
    film[Modes].give_up_or_stop()
    settled(film, qtbot)
    assert not feature.placing.is_on and not carried
    assert [c.point for c in film.session.state.body_clicks] == ["knee"]
    film.menus.actions["body_by_hand"].trigger()
    settled(film, qtbot)
    assert "knee" not in feature.placing.wanted, "taken up where it was left"


def test_where_a_body_was_found_it_need_not_be_placed(film: MainWindow, qtbot: QtBot) -> None:
    followed(film, qtbot)
    film.menus.actions["body_by_hand"].trigger()
    settled(film, qtbot)
    assert film.message_line.text == FOUND_ALREADY


def test_a_placed_point_is_taken_back(film: MainWindow, qtbot: QtBot) -> None:
    feature = followed(film, qtbot)
    go_to(film, qtbot, 60)
    film.menus.actions["place_point"].trigger()
    feature.placing.place("knee", 100.0, 90.0)
    feature.placing.place("hip", 150.0, 90.0)
    settled(film, qtbot)
    at = on_screen(film.picture, 100.0, 90.0)
    qtbot.mouseClick(feature.sheet, Qt.MouseButton.RightButton, pos=at)
    settled(film, qtbot)
    assert [c.point for c in film.session.state.body_clicks] == ["hip"]
    assert not feature.sheet.joints()["knee"].by_hand
    film.menus.actions["take_back_point"].trigger()
    settled(film, qtbot)
    assert not film.session.state.body_clicks
    film.menus.actions["take_back_point"].trigger()
    assert "No point was placed" in film.message_line.text
    film.session.undo()
    assert [c.point for c in film.session.state.body_clicks] == ["hip"]


def test_begun_and_left_without_a_point_nothing_is_in_the_review(
    film: MainWindow, qtbot: QtBot, carried: list[Sequence[Click]]
) -> None:
    before = film.session.state
    film.menus.actions["body_by_hand"].trigger()
    settled(film, qtbot)
    assert film[BodyFeature].placing.is_on
    film[Modes].give_up_or_stop()
    settled(film, qtbot)
    assert film.session.state == before and film.session.submission.body is None
    assert film.message_line.text == NOTHING_LEFT
    film.menus.actions["body_by_hand"].trigger()
    settled(film, qtbot)
    placing = film[BodyFeature].placing
    placing.place_wanted(100.0, 90.0)
    settled(film, qtbot)
    assert film.session.submission.body is not None, "with the first point it is there"
    assert [c.point for c in film.session.state.body_clicks] == ["ankle"]
    assert placing.wanted[0] == "knee"


def test_when_every_joint_is_passed_over_nothing_is_kept(
    film: MainWindow, qtbot: QtBot, carried: list[Sequence[Click]]
) -> None:
    film.menus.actions["body_by_hand"].trigger()
    settled(film, qtbot)
    placing = film[BodyFeature].placing
    for _ in range(8 * 7):
        placing.skip()
        settled(film, qtbot)
    assert not placing.is_on and not carried
    assert film.session.state.body.readings is None
    assert film.message_line.text == NOTHING_LEFT
