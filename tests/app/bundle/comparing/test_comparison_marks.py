"""Marks on both pictures of a comparison: where they lie, on which frames, and whose they are."""

from __future__ import annotations

import itertools
import json
from dataclasses import replace
from pathlib import Path

import html5lib
import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.comparing.picture_fit import PictureFit
from app.bundle.comparing.comparison_film import PairFilm, write_pair_clip
from app.bundle.comparing.comparison_look import pair_key
from app.bundle.comparing.comparison_marks import seen_of, turn_of_right
from app.bundle.comparing.comparison_paint import Stage, paint_pair
from app.bundle.options import WriteOptions
from app.bundle.pictures.mark_paint import MarkPainter
from app.bundle.pictures.quality import QUALITY
from app.bundle.wording.words import ENGLISH
from app.bundle.write import write_bundle
from app.media.video import VideoFile
from app.review.parts.comparisons import Comparison, new_comparison, shows_marks
from app.review.parts.marks import MARK_COLOURS, Mark, new_mark
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.review.values.stroke_ref import StrokeRef
from app.submission.resolving import Resolved, resolve

# The review's film has 20 frames a second; both strokes are of it.
LEFT = StrokeRef("", 1.0, 2.0, 3.0, "then")
RIGHT = StrokeRef("", 4.0, 4.5, 6.0, "now")
RED = tuple(int(MARK_COLOURS["red"][i : i + 2], 16) for i in (1, 3, 5))
SPOT = (210.0, 50.0)
FITS = (PictureFit(), PictureFit(True, 0.8, 20.0, -6.0), PictureFit(False, 1.3, -50.0, 8.0))


def ring(at: tuple[float, float], video_s: float, end_s: float | None = None) -> Mark:
    """A red circle around a place."""
    (x, y), r = at, 14.0
    return new_mark("circle", ((x - r, y - r), (x + r, y + r)), video_s, end_s, "red")


def reddish(image: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Where each of the three colours is near that of a red mark."""
    near = np.abs(image.astype(np.int16) - np.array(RED, np.int16)) < 40
    return all_three(near)


def all_three(of: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Where it holds of all colours; numpy takes five times as long over the last axis."""
    both: NDArray[np.bool_] = of[..., 0] & of[..., 1] & of[..., 2]
    return both


# Each fit with each turn, each layout, and mirrored and not; all of them at once tell no more.
@pytest.mark.parametrize(
    ("layout", "turns", "mirrored", "fit"),
    [
        (layout, turns, mirrored, FITS[(turns + mirrored + 2 * (layout == "above")) % len(FITS)])
        for layout, turns, mirrored in itertools.product(
            ("beside", "above"), range(4), (False, True)
        )
    ],
)
def test_a_ring_stays_around_what_it_was_drawn_around(
    layout: str, turns: int, mirrored: bool, fit: PictureFit
) -> None:
    """The picture itself shows where a place of it went: a white spot the ring was drawn around."""
    size = (320, 180)
    picture = np.full((180, 320, 3), 60, np.uint8)
    picture[int(SPOT[1]) - 4 : int(SPOT[1]) + 4, int(SPOT[0]) - 4 : int(SPOT[0]) + 4] = 255
    plain = np.full((180, 320, 3), 60, np.uint8)
    comparison = new_comparison(LEFT, RIGHT, layout=layout, fit=fit)
    turn = PictureTurn(turns, mirrored)
    state = ReviewState(marks=(ring(SPOT, 0.0),), turn=turn_of_right(turn, fit))

    def drawn(image: NDArray[np.uint8], seen: tuple[float, ...]) -> NDArray[np.uint8]:
        painter = MarkPainter(state, size, lambda _s: 0, seen)  # type: ignore[arg-type]
        return painter.paint(image, 0.0, red=0)

    across = 1 if layout == "beside" else 0
    for stage in (None, Stage((900, 700)), Stage((900, 700), (1.3, 0.5, 0.5))):
        image = paint_pair(
            plain, picture, comparison, turn=turn, stage=stage, drawn=(None, drawn)
        )  # fmt: skip
        spot = np.argwhere(all_three(image > 200))
        gap = image.shape[across] // 2  # white where there is no stage
        spot = spot[np.abs(spot[:, across] - gap) > 4]
        around = np.argwhere(reddish(image))
        assert len(spot) > 30 and len(around) > 60
        whole = np.ptp(around, axis=0)
        if stage is not None and stage.zoom[0] > 1.0 and abs(int(whole[0]) - int(whole[1])) > 4:
            continue  # zoomed, the edge of the room cuts the ring
        middle = (around.min(axis=0) + around.max(axis=0)) / 2
        assert np.abs(middle - spot.mean(axis=0)).max() <= 2.5


def test_what_is_seen_of_a_picture_is_all_of_it_where_it_fills_its_room() -> None:
    assert seen_of(np.array([[2.0, 0, 0], [0, 2.0, 0]]), (320, 180), (640, 360)) == (0, 0, 1, 1)
    half = seen_of(np.array([[4.0, 0, -640], [0, 4.0, 0]]), (320, 180), (640, 360))
    assert half == pytest.approx((0.5, 0.0, 0.5, 0.5))


def sides(comparison: Comparison, state: ReviewState, path: Path) -> tuple[Resolved, Resolved]:
    left, right = (resolve(s, state, path, None) for s in (comparison.left, comparison.right))
    return left, right


@pytest.fixture(scope="module")
def marked(review: ReviewState) -> ReviewState:
    """One mark on the frame of the right catch, one through the right drive, none on the left."""
    marks = (ring((60.0, 120.0), RIGHT.catch_s), ring(SPOT, RIGHT.catch_s, RIGHT.finish_s))
    return replace(review, marks=marks)


def reds(image: NDArray[np.uint8]) -> tuple[int, int]:
    """How much red is in the left and in the right half."""
    half = image.shape[1] // 2
    red = reddish(image)
    return int(red[:, :half].sum()), int(red[:, half:].sum())


def test_a_still_pair_shows_the_marks_of_either_frame(
    marked: ReviewState, review_path: Path
) -> None:
    comparison = new_comparison(LEFT, RIGHT)
    with PairFilm(comparison, *sides(comparison, marked, review_path)) as film:
        catch, finish, later = (
            reds(film.paint(film.at(s), ("", ""))) for s in (LEFT.catch_s, LEFT.finish_s, 2.5)
        )
    assert catch[0] == finish[0] == 0, "no mark is of a frame on the left"
    assert catch[1] > 1.6 * finish[1] > 200, "both rings, then one"
    assert later == (0, 0)
    # The other way round the left picture has them.
    swapped = new_comparison(RIGHT, LEFT)
    with PairFilm(swapped, *sides(swapped, marked, review_path)) as film:
        left, right = reds(film.paint(film.at(RIGHT.catch_s), ("", "")))
    assert left > 400 and right == 0


def test_in_a_clip_a_mark_of_one_frame_would_only_flash(
    marked: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    comparison = new_comparison(LEFT, RIGHT)
    out = tmp_path / "pair.mp4"
    with PairFilm(comparison, *sides(comparison, marked, review_path)) as film:
        pairs = film.clip().pairs
        write_pair_clip(film, out, ("", ""), None)
        times = film._right.index.time_s
    with VideoFile.open(out) as shown:
        seen = [reds(shown.frame_rgb(i)) for i in range(len(pairs))]
    assert max(left for left, _right in seen) < 8, seen
    for pair, (_left, right) in zip(pairs, seen, strict=True):
        within = RIGHT.catch_s - 1e-6 <= times[pair.right] <= RIGHT.finish_s + 1e-6
        assert (right > 100) == within, pair
    assert max(right for _left, right in seen) < 1.3 * np.median([r for _, r in seen if r > 100])


def test_marks_of_another_review_are_shown_only_where_the_coach_says_so(
    marked: ReviewState, review_path: Path
) -> None:
    other = replace(RIGHT, source="other.review")
    hidden = new_comparison(LEFT, other)
    shown = replace(hidden, other_marks=True)
    assert [shows_marks(hidden, s) for s in (LEFT, other)] == [True, False]
    assert [shows_marks(shown, s) for s in (LEFT, other)] == [True, True]
    left, right = sides(new_comparison(LEFT, RIGHT), marked, review_path)
    bare = replace(left, submission=replace(left.submission, state=replace(marked, marks=())))
    theirs = replace(right, stroke=other)  # the same film, as another review has it
    for comparison, there in ((hidden, False), (shown, True)):
        with PairFilm(comparison, bare, theirs) as film:
            image = film.paint(film.at(LEFT.catch_s), ("", ""))
            stage = film.on_stage(
                film.on_screen(LEFT.catch_s), ("", ""), Stage((900, 300)), PictureTurn()
            )
        assert (reds(image)[1] > 300, reds(stage)[1] > 300) == (there, there)


def test_a_walkthrough_shows_its_own_marks_on_both_pictures_of_one_film(
    marked: ReviewState, review_path: Path
) -> None:
    comparison = new_comparison(LEFT, RIGHT)
    drawn_then = (ring((160.0, 90.0), RIGHT.catch_s),)
    with PairFilm(comparison, *sides(comparison, marked, review_path)) as film:
        frames = film.on_screen(LEFT.catch_s)
        plain = film.on_stage(frames, ("", ""), Stage((900, 300)), PictureTurn())
        shown = film.on_stage(frames, ("", ""), Stage((900, 300)), PictureTurn(), drawn_then)
    # A few pixels of the encoded picture itself may look red.
    assert max(reds(plain)) < 20, "what was deleted, or drawn later, does not stand there"
    assert reds(shown)[0] < 20 and reds(shown)[1] > 200


def test_the_record_names_the_marks_that_are_seen(
    marked: ReviewState, review_path: Path, tmp_path: Path, made_once: WriteOptions
) -> None:
    one, through = marked.marks
    elsewhere = ring(SPOT, 2.5)  # within the left stroke, on neither still
    pair = new_comparison(LEFT, RIGHT)
    state = replace(marked, marks=(one, through, elsewhere), comparisons=(pair,))
    # A pick without any note of these marks: only what is side by side shows them.
    plan = replace(state.sending, notes=("gone",))
    for again in ("first", "kept"):  # made, then taken from those made before
        made = write_bundle(
            replace(state, sending=plan), review_path, tmp_path / again, options=made_once
        )
        record = json.loads((made.path / "review.json").read_text("utf-8"))
        assert record["comparisons"][0]["marks"] == sorted((one.id, through.id))
        assert [mark["id"] for mark in record["marks"]] == [one.id, through.id]
        page = html5lib.parse(
            (made.path / "index.html").read_text("utf-8"), namespaceHTMLElements=False
        )
        alts = [str(img.get("alt")) for img in page.iter("img")]
        (catch,) = [alt for alt in alts if "Both strokes at the catch" in alt]
        (finish,) = [alt for alt in alts if "Both strokes at the finish" in alt]
        assert catch.endswith("Drawn on it: a circle, a circle.")
        assert finish.endswith("Drawn on it: a circle.")


def test_pictures_kept_from_before_are_made_anew_when_a_mark_changes(
    marked: ReviewState, review_path: Path
) -> None:
    comparison = new_comparison(LEFT, RIGHT)
    other = replace(comparison, right=replace(RIGHT, source="other.review"))
    look = (ENGLISH, QUALITY["standard"])

    def key(comparison: Comparison, state: ReviewState) -> str:
        left, right = sides(new_comparison(LEFT, RIGHT), state, review_path)
        right = replace(right, stroke=comparison.right)
        return pair_key(comparison, ("a", "b"), left, right, *look)

    fewer = replace(marked, marks=marked.marks[:1])
    assert key(comparison, marked) == key(comparison, replace(marked))
    assert key(comparison, marked) != key(comparison, fewer)
    assert key(other, marked) != key(replace(other, other_marks=True), marked)
