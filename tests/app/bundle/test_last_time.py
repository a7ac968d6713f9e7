"""The page begins with what became of last time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from analysis.following_up.follow import Change, Followed, Outcome
from analysis.following_up.prescribed import Prescribed
from app.bundle.page.last_time import LastTimeView, last_time_part, last_time_record, what_of
from app.bundle.sources.last_time import LastTime, MeanPair, sent_last_time
from app.bundle.wording.languages import LANGUAGES, words_in
from app.review.parts.sending import LAST_TIME, LeaveOut
from app.review.parts.state import ReviewState

GIVE = Prescribed("give", "Give after the catch")


def row(outcome: Outcome, better: bool | None = None, key: str = "share") -> Followed:
    change = Change(-0.3, -0.5, -0.1, -0.6, -0.05)
    return Followed(key, GIVE, 0.8, 0.25, None, None, change, outcome, better=better)


def view(last: LastTime | None, folder: Path, language: str = "en") -> LastTimeView | None:
    part: LastTimeView | None = last_time_part(last, folder, words_in(language))["last_time"]
    return part


def test_the_clearest_outcome_is_the_one_sentence(tmp_path: Path) -> None:
    last = LastTime("2026-10-03", (row("cannot tell"), row("changed", True), row("not yet")))
    shown = view(last, tmp_path)
    assert shown is not None and shown.title == "Since last time (2026-10-03)"
    assert shown.sentence == (
        "It changed: “Giving way after the catch” in 25\u00a0% of your strokes, "
        "80\u00a0% last time."
    )
    assert [outcome for outcome, _ in shown.rows] == ["Cannot tell", "Changed", "Not yet"]
    assert shown.svg == "" and not (tmp_path / "curves").exists()


def test_a_change_for_the_worse_is_said_so(tmp_path: Path) -> None:
    shown = view(LastTime(rows=(row("changed", False),)), tmp_path)
    assert shown is not None and shown.sentence.startswith("It changed the other way: ")


def test_unlike_is_not_compared_with_unlike(tmp_path: Path) -> None:
    means = MeanPair(np.zeros(101), np.ones(101))
    shown = view(LastTime("", (row("cannot tell"),), True, means), tmp_path)
    assert shown is not None and "too differently" in shown.sentence
    assert shown.rows == () and shown.svg == ""


def test_curve_over_curve_is_drawn(tmp_path: Path) -> None:
    arch = 400.0 * np.sin(np.linspace(0.0, np.pi, 101))
    last = LastTime("", (row("not yet"),), False, MeanPair(arch, 1.2 * arch))
    shown = view(last, tmp_path)
    assert shown is not None
    drawn = (tmp_path / shown.svg).read_bytes()
    svg = drawn.decode()
    assert svg.index("this time") < svg.index("last time")  # what is rowed now is not dashed
    again = tmp_path / "again"
    again.mkdir()
    view(last, again)
    assert drawn == (again / shown.svg).read_bytes()  # the same curves give the same bytes
    view(LastTime("", last.rows, False, MeanPair(arch, arch)), again)
    assert drawn != (again / shown.svg).read_bytes()


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_it_is_said_in_each_language(language: str, tmp_path: Path) -> None:
    shown = view(LastTime("2026-10-03", (row("changed", True),)), tmp_path, language)
    assert shown is not None and "25" in shown.sentence and "80" in shown.sentence
    if language != "en":
        assert "after the catch" not in shown.sentence
        assert shown.title != "Since last time (2026-10-03)"


def test_a_measure_is_said_with_its_unit() -> None:
    row_of = Followed("rhythm", GIVE, 1.5, 2.0, None, None, None, "not yet")
    assert what_of(row_of, words_in("en")).endswith("2.00, 1.50 last time") or "2.0" in what_of(
        row_of, words_in("en")
    )


def test_nothing_to_say_leaves_nothing(tmp_path: Path) -> None:
    assert view(None, tmp_path) is None and view(LastTime("2026-10-03"), tmp_path) is None
    assert last_time_record(LastTime()) == {} == last_time_record(None)
    (told,) = last_time_record(LastTime(rows=(row("changed", True),)))["last_time"]["rows"]
    assert (told["finding"], told["outcome"], told["better"]) == ("give", "changed", True)


def test_the_coach_may_leave_it_out() -> None:
    last = LastTime(rows=(row("changed", True),))
    state = ReviewState(review_id="r")
    assert sent_last_time(state.sending, last) is last
    out = LeaveOut(LAST_TIME, True).apply(state)
    assert sent_last_time(out.sending, last) is None
