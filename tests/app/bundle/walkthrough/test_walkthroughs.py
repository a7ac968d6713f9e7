"""Walkthroughs in the bundle: the film, its captions as a track and as text, and the record."""

from __future__ import annotations

import base64
import json
import re
from dataclasses import replace
from pathlib import Path

import html5lib
import pytest
import webvtt

from app.bundle.options import WriteOptions
from app.bundle.wording.errors import BundleCancelled
from app.bundle.write import write_bundle
from app.media.video import VideoFile
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import Moved
from app.review.parts.walkthroughs import Caption, Cut, new_walkthrough
from tests.helpers.clips import number_in


@pytest.fixture(scope="module")
def walked(review: ReviewState) -> ReviewState:
    """The review with one walkthrough of two frames, captioned, with a slip cut out."""
    walk = replace(
        new_walkthrough([Moved(0.0, 1.0), Moved(1.0, 3.0)], 3.0, title="Hands <first>"),
        cuts=(Cut(2.0, 2.5),),
        captions=(Caption("a", 0.2, 0.9, "Hang & wait"), Caption("b", 2.1, 2.4, "cut away")),
    )
    return replace(review, notes=(), walkthroughs=(walk,))


def test_the_page_shows_it_with_its_captions(
    walked: ReviewState, review_path: Path, tmp_path: Path, made_once: WriteOptions
) -> None:
    result = write_bundle(walked, review_path, tmp_path / "out", options=made_once)
    assert {"clips/walkthrough-1.mp4", "clips/walkthrough-1.vtt"} <= set(result.files)
    with VideoFile.open(result.path / "clips/walkthrough-1.mp4") as film:
        assert (film.width, film.height) == (320, 270)
        assert film.duration_s == pytest.approx(2.5, abs=0.05)
        first, last = film.frame_rgb(0), film.frame_rgb(len(film.index) - 1)
        assert (number_in(first[:180]), number_in(last[:180])) == (20, 60)
    page = (result.path / "index.html").read_text("utf-8")
    tree = html5lib.parse(page, namespaceHTMLElements=False)
    (section,) = [s for s in tree.iter("section") if s.get("id") == "walkthrough"]
    (video,) = section.iter("video")
    assert video.get("src") == "clips/walkthrough-1.mp4"
    assert "Hands <first>" in (video.get("aria-label") or "")
    (track,) = section.iter("track")
    assert track.get("srclang") == "en"
    packed = (track.get("src") or "").split("base64,")[1]
    (tmp_path / "told.vtt").write_bytes(base64.b64decode(packed))
    (cue,) = webvtt.read(tmp_path / "told.vtt")
    assert (cue.start, cue.end) == ("00:00:00.200", "00:00:00.900")
    assert ["".join(li.itertext()) for li in section.iter("li")] == ["0:00 Hang & wait"]
    record = json.loads((result.path / "review.json").read_text("utf-8"))
    assert record["walkthroughs"] == [
        {
            "title": "Hands <first>",
            "video": "clips/walkthrough-1.mp4",
            "captions": "clips/walkthrough-1.vtt",
            "seconds": pytest.approx(2.5, abs=0.05),
        }
    ]


def test_a_single_page_carries_it(
    walked: ReviewState, review_path: Path, tmp_path: Path, made_once: WriteOptions
) -> None:
    result = write_bundle(
        walked, review_path, tmp_path / "out", single_file=True, options=made_once
    )
    page = result.path.read_text("utf-8")
    assert re.search(r'<video[^>]* src="data:video/mp4;base64,', page)
    assert 'clips/walkthrough-1.mp4" ' not in page


def test_a_walkthrough_whose_voice_is_gone_is_shown_silent_and_told(
    walked: ReviewState,
    review_path: Path,
    tmp_path: Path,
    made_once: WriteOptions,
) -> None:
    walk = replace(walked.walkthroughs[0], sound_id="gone")
    state = replace(walked, walkthroughs=(walk,))
    from tests.helpers.reviews import write_review

    path = review_path.with_name("silent.review")
    write_review(path, state)
    result = write_bundle(state, path, tmp_path / "out", options=made_once)
    assert any("walkthrough 1" in remark for remark in result.remarks)
    page = (result.path / "index.html").read_text("utf-8")
    assert "coach’s voice" not in page and "without sound" in page
    assert "clips/walkthrough-1.mp4" in result.files


def test_nobody_is_promised_a_voice_where_there_is_none(
    walked: ReviewState,
    review_path: Path,
    tmp_path: Path,
    made_once: WriteOptions,
) -> None:
    silent = replace(walked, walkthroughs=(replace(walked.walkthroughs[0], sound_id=""),))
    for language, voice, without in (
        ("en", "coach’s voice", "without sound"),
        ("de", "Stimme deines Trainers", "ohne Ton"),
    ):
        state = replace(silent, sending=replace(silent.sending, language=language))
        page = (
            write_bundle(state, review_path, tmp_path / language, options=made_once).path
            / "index.html"
        )
        assert voice not in page.read_text("utf-8") and without in page.read_text("utf-8")


def test_the_writing_can_be_stopped_within_one(
    walked: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    seen: list[str] = []

    def progress(_share: float, doing: str) -> None:
        seen.append(doing)

    with pytest.raises(BundleCancelled):
        write_bundle(
            walked,
            review_path,
            tmp_path / "out",
            progress=progress,
            cancelled=lambda: any(doing.startswith("Walkthrough 1") for doing in seen),
        )
    assert not (tmp_path / "out").exists()


def test_without_one_the_page_says_nothing_of_it(
    review: ReviewState,
    review_path: Path,
    tmp_path: Path,
    made_once: WriteOptions,
) -> None:
    result = write_bundle(
        replace(review, notes=()), review_path, tmp_path / "out", options=made_once
    )
    assert 'id="walkthrough"' not in (result.path / "index.html").read_text("utf-8")
