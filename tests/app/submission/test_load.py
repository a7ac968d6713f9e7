"""The one loader: what is missing and why, what is read with care, what the coach's files say."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest

from app.bundle.sources import recordings as sources
from app.bundle.wording.words import ENGLISH
from app.bundle.wording.words_german import GERMAN
from app.files.user_folders import config_folder, data_folder, wording_path
from app.media.errors import MediaError
from app.review.recordings import OtherRecording, OutsideRecording, RecordingAccess
from app.review.values.errors import ReviewError
from app.submission.load import Said, SubmissionError, begin, begin_with, load
from app.submission.remarks import Code
from app.window.session import settings
from tests.app.submission.conftest import Sent, write_own_wording


def test_another_recording_is_a_doubt_and_is_not_read(sent: Sent) -> None:
    sent.force.write_text(sent.force.read_text("utf-8") + "\n", "utf-8")
    loaded = load(sent.state, sent.review)
    assert loaded.piece is None
    assert [type(d) for d in loaded.doubts] == [OtherRecording]
    meant = load(sent.state, sent.review, access=RecordingAccess(other_recording=True))
    assert meant.piece is not None and meant.doubts == ()
    assert "other_trace" in {r.code for r in meant.remarks}


def test_what_lies_where_nobody_chose_it_to_is_a_doubt(sent: Sent, tmp_path: Path) -> None:
    inner = tmp_path / "inner"
    inner.mkdir()
    state = replace(sent.state, video=replace(sent.state.video, path="../film.mp4"), trace=None)
    loaded = load(state, inner / "a.review")
    assert loaded.video_path is None and [type(d) for d in loaded.doubts] == [OutsideRecording]


def test_what_moved_is_found_by_its_content_only_where_asked(sent: Sent) -> None:
    sent.film.rename(sent.film.with_name("renamed.mp4"))
    assert load(sent.state, sent.review).video_path is None
    found = load(sent.state, sent.review, search=True)
    assert found.video_path == sent.film.with_name("renamed.mp4")


def test_a_stop_is_no_missing_recording(sent: Sent) -> None:
    with pytest.raises(ReviewError):
        load(sent.state, sent.review, cancelled=lambda: True)


def test_force_that_cannot_be_read_costs_the_force_alone(sent: Sent) -> None:
    bad = begin_with(sent.film, None, sent.review, Said()).state
    sent.force.write_text("no numbers\n", "utf-8")
    from app.review.recordings import refer

    loaded = load(replace(bad, trace=refer(sent.force, "trace", sent.review)), sent.review)
    assert loaded.piece is None and loaded.video_path == sent.film
    assert [r.code for r in loaded.remarks] == ["unreadable_trace"]


def test_a_film_is_opened_only_for_its_facts(sent: Sent) -> None:
    loaded = load(sent.state, sent.review)
    assert loaded.film is not None and "facts" not in vars(loaded.film)
    sent.film.write_bytes(b"no film")
    with pytest.raises(MediaError):
        _ = loaded.film.facts


def test_two_of_a_kind_are_refused_by_name(sent: Sent) -> None:
    twin = sent.force.with_name("twin.csv")
    twin.write_bytes(sent.force.read_bytes())
    with pytest.raises(SubmissionError, match=r"force\.csv and twin\.csv both look like force"):
        begin([sent.force, twin], sent.review)


def test_a_threshold_that_is_none_costs_that_threshold_alone(sent: Sent) -> None:
    plain = load(sent.state, sent.review).findings
    odd = (("no such", 1.0), ("give.depth", -5.0), ("early-loss.falls", float("nan")))
    loaded = load(replace(sent.state, thresholds=odd), sent.review)
    assert loaded.findings == plain and plain
    assert [r.code for r in loaded.raised.remarks] == ["threshold"] * 3


def test_wording_that_cannot_be_read_is_told_the_coach_and_not_the_athlete(sent: Sent) -> None:
    write_own_wording()
    wording_path().write_text("[give", "utf-8")
    loaded = load(sent.state, sent.review)
    assert "findings.toml cannot be read" in loaded.raised.remarks[0].said
    assert sources.sources_of(loaded).remarks(ENGLISH) == ()


def test_a_named_wording_counts_more_than_the_users(sent: Sent, tmp_path: Path) -> None:
    write_own_wording()
    named = tmp_path / "mine.toml"
    named.write_text('[give]\ntitle = "Named"\n', "utf-8")
    found = load(sent.state, sent.review, wording=named).findings
    assert "Named" in {f.title for f in found}


def test_every_remark_is_told_the_athlete_in_each_language_or_is_for_the_coach() -> None:
    for words in (ENGLISH, GERMAN):
        assert all(words[code] for code in sources.TOLD)
    assert set(get_args(Code)) - set(sources.TOLD) == {
        *("intake", "wording", "threshold", "body", "defaults")
    }


def test_the_folders_without_qt_are_those_of_the_window(monkeypatch: pytest.MonkeyPatch) -> None:
    assert wording_path().parent == settings.default_path().parent
    assert data_folder() == settings.data_folder()
    monkeypatch.setattr(sys, "platform", "darwin")
    assert config_folder() == Path.home() / "Library" / "Preferences" / "strokeside"
