"""The page shows a stroke of last time and one of this time, and both orders of movement."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from analysis.body.order import PARTS, Order, Over, PartOfDrive
from app.bundle.pictures.movement import order_sentence
from app.bundle.sources.last_time import Earlier, LastTime
from app.bundle.wording.languages import words_in
from app.bundle.write import WriteOptions, write_bundle
from app.last_time.strips import both_strips
from app.review.parts.state import ReviewState
from app.review.recordings import STRANGER
from app.submission.load import load
from tests.app.bundle.test_last_time import row


def order(**starts: float) -> Order:
    parts = (
        PartOfDrive(name, *(Over(at, at, at) for at in (starts[name], 50.0, 90.0, 33.0)))
        for name in PARTS
    )
    return Order(tuple(parts), 5)


THEN, NOW = order(legs=20.0, trunk=0.0, arms=40.0), order(legs=0.0, trunk=20.0, arms=60.0)


def page(last: LastTime, state: ReviewState, at: Path, out: Path, kept: WriteOptions) -> str:
    write_bundle(state, at, out, options=replace(kept, last_time=last))
    return (out / "index.html").read_text("utf-8")


def test_both_strokes_and_both_orders(
    review: ReviewState, review_path: Path, made_once: WriteOptions, tmp_path: Path
) -> None:
    last = LastTime("", (row("changed", True),), orders=(THEN, NOW),
                    earlier=Earlier(review, review_path))  # fmt: skip
    out = tmp_path / "sent"
    text = page(last, review, review_path, out, made_once)
    part = text[text.index('id="last-time"') :]
    part = part[: part.index("</section>")]
    for name in ("strips/last-time.svg", "strips/this-time.svg", "movement/last-time-order"):
        assert name in part, name
    assert part.index("strips/last-time.svg") < part.index("strips/this-time.svg")
    then, now = ((out / f"strips/{n}-time.svg").read_bytes() for n in ("last", "this"))
    assert then == now, "the same film and the same stroke"
    told = [order_sentence(one, words_in("en")) for one in (THEN, NOW)]
    assert told[0] != told[1]
    assert 0 < part.index(f"last time: {told[0]}") < part.index(f"this time: {told[1]}")


@pytest.mark.parametrize("why", ["unlike", "no film", "gone"])
def test_what_cannot_be_shown_leaves_the_rest(
    why: str, review: ReviewState, review_path: Path, made_once: WriteOptions, tmp_path: Path
) -> None:
    earlier = Earlier(review, review_path)
    if why == "no film":
        earlier = Earlier(replace(review, video=None), review_path)
    if why == "gone":
        earlier = Earlier(review, tmp_path / "elsewhere" / "autumn.review")
    last = LastTime("", (row("changed", True),), unlike=why == "unlike", earlier=earlier)
    text = page(last, review, review_path, tmp_path / "sent", made_once)
    assert 'id="last-time"' in text
    assert "strips/last-time" not in text
    assert not (tmp_path / "sent" / "strips" / "last-time.svg").exists()


def test_the_bench_shows_the_same_two_strokes(review: ReviewState, review_path: Path) -> None:
    earlier = Earlier(review, review_path)
    made = both_strips(earlier, load(review, review_path), STRANGER)
    assert made is not None
    then, now = made
    assert len(then.frames) == len(now.frames) >= 4
    assert [f.percent for f in then.frames] == [f.percent for f in now.frames]
    alone = replace(review, video=None)
    assert both_strips(Earlier(alone, review_path), load(review, review_path), STRANGER) is None
