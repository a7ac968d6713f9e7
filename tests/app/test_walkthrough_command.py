"""The command `walkthrough`."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from app.commands.program import main
from app.media.encode import ClipWriter
from app.media.video import VideoFile
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import Moved
from app.review.parts.walkthroughs import AddWalkthrough, Caption, new_walkthrough
from app.review.recordings import refer
from app.review.review import Review
from tests.helpers.clips import number_in, numbered


@pytest.fixture
def review(tmp_path: Path) -> Review:
    with ClipWriter(tmp_path / "film.mp4", 320, 180) as film:
        for i in range(30):
            film.add(numbered(i), i / 30)
        film.finish(1.0)
    path = tmp_path / "a.review"
    return Review.create(path, ReviewState(video=refer(tmp_path / "film.mp4", "video", path)))


def test_it_writes_the_one_asked_for(review: Review, tmp_path: Path, capsys) -> None:
    first = new_walkthrough([Moved(0.0, 0.2)], 0.5)
    last = new_walkthrough([Moved(0.0, 0.5)], 0.5)
    review.do(AddWalkthrough(replace(first, captions=(Caption("a", 0.1, 0.4, "Hang"),))))
    review.do(AddWalkthrough(last))
    out = tmp_path / "walk.mp4"
    for words, frame, captions in (((), 15, None), (("--number", "1"), 6, "walk.vtt")):
        assert main(["walkthrough", str(review.path), "-o", str(out), "--json", *words]) == 0
        told = json.loads(capsys.readouterr().out)
        assert told["seconds"] == 0.5
        assert (told["captions"] and Path(told["captions"]).name) == captions
        with VideoFile.open(told["video"]) as film:
            assert number_in(film.frame_rgb(0)) == frame


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ((), "holds no walkthrough"),
        (("--number", "3"), "walkthroughs 1 to 1, not 3"),
        (("name.avi",), "as .mp4"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(
    review: Review, tmp_path: Path, capsys, words: tuple[str, ...], sentence: str
) -> None:
    if words:
        review.do(AddWalkthrough(new_walkthrough([Moved(0.0, 0.2)], 0.5)))
    name = words[0] if words and not words[0].startswith("-") else "walk.mp4"
    number = words if words and words[0].startswith("-") else ()
    assert main(["walkthrough", str(review.path), "-o", str(tmp_path / name), *number]) == 1
    assert sentence in capsys.readouterr().err
