"""The trend of the low back's load in the body tab."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from app.review.parts.body import SetStature
from app.submission import back
from app.submission.back import SAID, BackSeen
from app.window.main_window import MainWindow
from tests.app.submission.test_back import sent
from tests.app.window.features.body.test_following import followed, settled


def test_a_film_alone_says_what_it_lacks(film: MainWindow, qtbot: QtBot) -> None:
    feature = followed(film, qtbot)
    assert feature.back.said.text() == SAID["no_force"]
    assert feature.back.figure.height() == 0 and feature.back.limits.isHidden()


def test_the_curve_its_interval_and_what_it_is_not(
    film: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A film whose force tells enough, by what the submission says of it."""
    trend = back.back_seen(sent()).trend
    assert trend is not None
    asked: list[object] = []

    def told(submission: object) -> BackSeen:
        asked.append(submission)
        return BackSeen(trend)

    monkeypatch.setattr(back, "back_seen", told)
    feature = followed(film, qtbot)
    assert "95 % interval" in feature.back.said.text()
    assert feature.back.figure.height() > 80
    assert feature.back.figure.accessibleName() == feature.back.said.text()
    assert "Pain is a reason to stop" in feature.back.limits.text()
    count = len(asked)
    film.session.do(SetStature(1.84))
    settled(film, qtbot)
    assert len(asked) == count + 1, "the body was worked out anew"
