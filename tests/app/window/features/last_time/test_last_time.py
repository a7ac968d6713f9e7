"""A second piece of a known athlete is held against the first, in the window and in the bundle."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.library.library import Library
from app.library.past import Past, past_of
from app.library.people import find_athlete
from app.library.record import store
from app.review.file.store import read_review
from app.review.finding_notes import finding_note
from app.review.parts.about import SetAthlete
from app.review.parts.findings import KeepFinding
from app.review.parts.sending import LAST_TIME
from app.window.features.last_time.feature import LastTimeFeature
from app.window.features.last_time.history import figure_of, histories
from app.window.features.last_time.last_time_panel import (
    FIRST,
    NOBODY,
    NOT_YET,
    LastTimePanel,
    colour_of,
)
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.sending.feature import SendingFeature
from app.window.features.sending.sending import Sending
from app.window.main_window import MainWindow
from app.window.session.last_times import LastTimes
from app.window.views.figure_view import FigureView
from app.window.widgets import theme
from tests.helpers.library_rows import told_review


@pytest.fixture
def features() -> tuple[type, ...]:
    return (ReviewFileFeature, LastTimeFeature, SendingFeature)


def at_rest(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60000)


def keep(bench: MainWindow, qtbot: QtBot, title: str) -> None:
    bench.session.do(SetAthlete("Ada", title))
    qtbot.waitUntil(lambda: not bench.session.safe.unsaved, timeout=20000)
    bench.filling.keep_now()
    at_rest(bench, qtbot)


@pytest.fixture
def twice(bench: MainWindow, qtbot: QtBot, tmp_path: Path, steady: Path) -> MainWindow:
    """A bench with Ada's second piece, a copy of the first, in which a finding was kept."""
    for name in ("first", "second"):
        folder = tmp_path / name
        folder.mkdir()
        shutil.copyfile(steady, folder / "piece.csv")
        bench.session.open_paths([folder / "piece.csv"])
        at_rest(bench, qtbot)
        if name == "first":
            finding = next(f for f in bench.session.submission.findings if not f.good)
            bench.session.do(KeepFinding(finding.code, finding_note(finding)))
        keep(bench, qtbot, name)
        if name == "first":
            bench.session.close_review()
            qtbot.waitUntil(lambda: bench.session.review is None, timeout=20000)
            at_rest(bench, qtbot)
    return bench


@pytest.fixture(scope="session")
def steady(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A force file with enough strokes that all show the same finding."""
    from app.prepared.sample_review import sample_review

    folder = tmp_path_factory.mktemp("steady")
    sample_review(folder)
    return next(folder.glob("*.csv"))


def test_the_first_piece_has_nothing_to_be_held_against(
    bench: MainWindow, qtbot: QtBot, submission: Path
) -> None:
    bench.session.open_paths([submission / "piece.csv"])
    at_rest(bench, qtbot)
    panel = bench[LastTimePanel]
    assert panel.said == (NOBODY,)
    bench.session.do(SetAthlete("Ada", "first"))
    assert panel.said == (NOT_YET,)
    keep(bench, qtbot, "first")
    assert panel.said == (FIRST.format(name="Ada"),)
    assert not bench.tabs.isTabVisible(bench.tabs.indexOf(panel))
    assert bench[LastTimes].for_bundle is None


def test_the_second_is_held_against_the_first_and_begins_its_bundle(
    twice: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    times, panel = twice[LastTimes], twice[LastTimePanel]
    found = times.found
    assert found is not None and found.progress is not None
    assert found.progress.before.title == "first" and found.progress.after.title == "second"
    assert twice.tabs.isTabVisible(twice.tabs.indexOf(panel))
    # The same strokes twice: whatever is said, it is not that they changed.
    outcomes = {row.outcome for row in found.progress.found.rows}
    assert outcomes and "changed" not in outcomes
    assert any(said.startswith(("Not yet: ", "Cannot tell: ")) for said in panel.said)
    assert any(said.startswith("Told: ") for said in panel.said)
    last = times.for_bundle
    assert last is not None and last.means is not None
    assert last.means.then == pytest.approx(last.means.now)
    assert panel.findChildren(FigureView)
    twice[Sending].write()
    at_rest(twice, qtbot)
    place = twice[Sending].usual_place()
    assert place is not None
    page = (place / "index.html").read_text("utf-8")
    assert page.index('id="last-time"') < page.index('id="session"')
    assert (place / "curves" / "last-time.svg").is_file()


def test_left_out_it_is_not_sent_and_that_can_be_undone(twice: MainWindow, qtbot: QtBot) -> None:
    panel, times = twice[LastTimePanel], twice[LastTimes]

    def sent() -> tuple[bool, bool, bool]:
        out = LAST_TIME in twice.session.state.sending.left_out
        return panel.begins.isChecked(), times.for_bundle is not None, not out

    assert sent() == (True, True, True)
    panel.begins.click()
    assert sent() == (False, False, False)
    twice.session.undo()
    assert sent() == (True, True, True)


def test_another_earlier_review_can_be_picked(twice: MainWindow, qtbot: QtBot) -> None:
    with Library.open() as library:
        store(library, [told_review("Ada", 3)])
    times, panel = twice[LastTimes], twice[LastTimePanel]
    times.renew()
    at_rest(twice, qtbot)
    assert panel.against.count() == 2
    shown = times.found
    assert shown is not None and shown.progress is not None
    row = next(i for i in range(2) if panel.against.itemData(i) != shown.progress.before.review_id)
    wanted = panel.against.itemData(row)
    panel.against.setCurrentIndex(row)
    panel.against.activated.emit(row)
    at_rest(twice, qtbot)
    shown = times.found
    assert shown is not None and shown.progress is not None
    assert shown.progress.before.review_id == wanted == panel.against.currentData()


def past() -> Past:
    with Library.open() as library:
        store(library, [told_review("Ada", n) for n in range(1, 5)])
        return past_of(library, find_athlete(library, "Ada").id)


def test_months_are_a_curve_with_what_was_prescribed_marked_on_it() -> None:
    (one,) = histories(past())
    assert one.title == "Give" and one.unit == "%"
    assert one.days == tuple(date(2026, month, 5).toordinal() for month in range(2, 6))
    assert all(0.0 <= value <= 100.0 for value in one.values)
    assert one.told == one.days  # each of these reviews prescribed it
    figure = figure_of(one)
    assert [moment.words for moment in figure.moments] == ["1", "2", "3", "4"]
    assert figure.ticks[0].words == "5 Feb 26"


def test_the_review_that_was_picked_is_kept_in_the_file(twice: MainWindow, qtbot: QtBot) -> None:
    found = twice[LastTimes].found
    assert found is not None and found.progress is not None
    picked = found.progress.before.review_id
    twice[LastTimes].pick(picked)
    at_rest(twice, qtbot)
    assert twice.session.state.held_against == picked
    qtbot.waitUntil(lambda: not twice.session.safe.unsaved, timeout=20000)
    review = twice.session.review
    assert review is not None and review.path is not None
    assert read_review(review.path).held_against == picked
    again = twice[LastTimes].found
    assert again is not None and again.progress is not None
    assert again.progress.before.review_id == picked


def test_without_films_no_strokes_are_offered_frame_by_frame(twice: MainWindow) -> None:
    assert not twice[LastTimePanel].strips.isVisibleTo(twice[LastTimePanel])


@pytest.mark.parametrize(
    ("outcome", "better", "colour"),
    [
        ("changed", True, theme.TARGET_BRIGHT),
        ("changed", False, theme.WARNING),
        ("changed", None, theme.TEXT),
        ("not yet", None, theme.PLAYHEAD),
        ("cannot tell", None, theme.TEXT),
    ],
)
def test_only_what_was_asked_for_is_green(outcome: str, better: bool | None, colour: str) -> None:
    assert colour_of(outcome, better) == colour
