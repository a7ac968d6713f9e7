"""Handle, seat and fixed points: placed one after the other, followed, and what comes of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from analysis.body.following.observed import Observed
from analysis.body.track import FEET, FIXED_POINTS, POINTS, Click
from app.body import machine as machine_of_film
from app.body.errors import BodyError
from app.review.parts.body import PlaceClick, new_click
from app.window.main_window import MainWindow
from app.window.session.modes import Modes
from tests.app.window.features.body.test_following import followed, go_to, on_screen, settled


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Click, ...]]:
    """What is followed of the machine, done at once: the seat becomes unknown, the size known."""
    seen: list[tuple[Click, ...]] = []

    def at_once(
        path: Path, observed: Observed, clicks: Sequence[Click], cancelled: Callable[[], bool],
        progress: Callable[[float], None],
    ) -> Observed:  # fmt: skip
        seen.append(tuple(clicks))
        if any(c.x_px > 300.0 for c in clicks):
            raise BodyError("This film shows other frames.")
        progress(1.0)
        xy = observed.xy_px.copy()
        xy[:50, POINTS.index("seat")] = np.nan
        return replace(observed, xy_px=xy, picture_px=(320, 180))

    monkeypatch.setattr(machine_of_film, "machine_followed", at_once)
    return seen


def test_handle_and_seat_are_clicked_and_followed(
    film: MainWindow, qtbot: QtBot, asked: list[tuple[Click, ...]]
) -> None:
    assert not film.menus.actions["place_handle_seat"].isEnabled()
    feature = followed(film, qtbot)
    go_to(film, qtbot, 60)
    film.menus.actions["place_handle_seat"].trigger()
    assert feature.placing.wanted == ("handle", "seat") and "handle" in film.message_line.text
    assert not feature.machine_panel.skip.isHidden()
    # Beside the wrist: no joint is taken hold of.
    wrist = feature.sheet.joints()["wrist"]
    at = on_screen(film.picture, wrist.x_px, wrist.y_px)
    qtbot.mouseClick(feature.sheet, Qt.MouseButton.LeftButton, pos=at)
    assert feature.placing.wanted == ("seat",) and not asked
    qtbot.mouseClick(feature.sheet, Qt.MouseButton.LeftButton, pos=at + QPoint(25, 20))
    settled(film, qtbot)
    assert [c.point for c in film.session.state.body_clicks] == ["handle", "seat"]
    assert [[c.point for c in one] for one in asked] == [["handle", "seat"]]
    assert not feature.placing.is_on and feature.machine_panel.skip.isHidden()
    settled(film, qtbot)
    readings = film.session.state.body.readings
    assert readings is not None and readings.observed.picture_px == (320, 180)
    assert "Handle: followed in" in feature.machine_panel.status.text()
    film.session.undo()
    settled(film, qtbot)
    before = film.session.state.body.readings
    assert before is not None and before.observed.picture_px is None
    assert len(film.session.state.body_clicks) == 2


def test_a_point_that_is_not_seen_is_skipped_and_escape_ends_it(
    film: MainWindow, qtbot: QtBot, asked: list[tuple[Click, ...]]
) -> None:
    feature = followed(film, qtbot)
    go_to(film, qtbot, 60)
    feature.machine_panel.fixed.click()
    assert feature.placing.wanted == FIXED_POINTS
    feature.machine_panel.skip.click()
    assert feature.placing.wanted == FIXED_POINTS[1:]
    assert "end of the rail" in feature.machine_panel.status.text()
    feature.placing.place_wanted(200.0, 120.0)
    film[Modes].give_up_or_stop()
    settled(film, qtbot)
    assert [[c.point for c in one] for one in asked] == [["rail_end"]]
    assert "rail_end" in feature.sheet._frame.machine()
    assert "Fixed points: end of the rail" in feature.machine_panel.status.text()
    feature.machine_panel.fixed.click()
    film[Modes].give_up_or_stop()
    settled(film, qtbot)
    assert len(asked) == 1, "nothing new was placed"


def test_a_camera_off_square_is_refused_on_screen(
    film: MainWindow, qtbot: QtBot, asked: list[tuple[Click, ...]]
) -> None:
    """Bars that lead to a place a quarter of a radian and more from the picture's middle."""
    feature = followed(film, qtbot)
    focal = 0.785 * 320
    meet = np.array((160.0 + focal * np.tan(np.radians(27.0)), 90.0))
    for (near, far), x in zip(FEET, (30.0, 260.0), strict=True):
        end = np.array((x, 170.0))
        for point, place in ((near, end), (far, end + 0.12 * (meet - end))):
            film.session.do(PlaceClick(new_click(0.5, point, *map(float, place))))
    feature.machine.follow()
    settled(film, qtbot)
    settled(film, qtbot)
    body = film.session.submission.body
    assert body is not None and body.refused
    shown = feature.panel._remarks.text()
    assert "degrees from square" in shown and "cannot be read" in shown


def test_what_cannot_be_followed_is_said_and_nothing_changes(
    film: MainWindow, qtbot: QtBot, asked: list[tuple[Click, ...]]
) -> None:
    feature = followed(film, qtbot)
    before = film.session.state.body.readings
    film.session.do(PlaceClick(new_click(0.5, "handle", 310.0, 90.0)))
    feature.machine.follow()
    settled(film, qtbot)
    assert "other frames" in film.message_line.text
    assert film.session.state.body.readings == before and not feature.machine.is_running
