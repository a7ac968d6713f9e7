"""Marks in stills, clips, record and page, each at its place."""

from __future__ import annotations

import html
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.bundle.pictures.mark_paint import MarkPainter
from app.bundle.write import BundleResult, write_bundle
from app.media.opencv import opencv
from app.media.orientation import Turn
from app.media.video import VideoFile
from app.review.mark_shapes import turned
from app.review.parts.marks import CASING, MARK_COLOURS, MARK_KINDS, POINTS_OF, Mark
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from tests.helpers.contrast import contrast

SIZE = (320, 180)
AT_S = 1.35  # of the first note
MARKS = (
    Mark("1", "line", ((40.0, 150.0), (140.0, 60.0)), "yellow", video_s=AT_S),
    Mark("2", "angle", ((280.0, 120.0), (200.0, 120.0), (200.0, 60.0)), "blue", "", 1.0, 1.6),
    Mark("3", "text", ((30.0, 80.0),), "red", "Grüße $5 & <b>", AT_S),
    Mark("4", "distance", ((30.0, 165.0), (230.0, 165.0)), "red", "", AT_S),
    Mark("5", "line", ((0.0, 0.0), (320.0, 180.0)), "red", video_s=7.0),
)


def rgb(name: str) -> np.ndarray:
    return np.array([int(MARK_COLOURS[name][i : i + 2], 16) for i in (1, 3, 5)])


def painted_at(image: np.ndarray, x: float, y: float, colour: str, red: int = 0) -> bool:
    """Whether a colour is within two pixels of a place."""
    around = image[int(y) - 2 : int(y) + 3, int(x) - 2 : int(x) + 3, :3].astype(int)
    wanted = rgb(colour) if red == 0 else rgb(colour)[::-1]
    return bool((np.abs(around - wanted).max(axis=2) < 48).any())


@pytest.fixture(scope="module")
def marked(
    review: ReviewState, review_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> BundleResult:
    """Write a bundle of one turned and mirrored note with marks."""
    state = replace(
        review, notes=review.notes[:1], marks=MARKS, metres_per_px=0.01, turn=PictureTurn(1, True)
    )
    return write_bundle(state, review_path, tmp_path_factory.mktemp("marked") / "feedback")


def test_the_still_shows_the_marks_of_its_moment_at_their_place(marked: BundleResult) -> None:
    still = opencv().imread(str(marked.path / "stills/note-01.jpg"))
    assert still.shape[:2] == (320, 180)  # turned
    for place, colour in (
        ((90.0, 105.0), "yellow"),
        ((240.0, 120.0), "blue"),
        ((60.0, 165.0), "red"),
    ):
        x, y = turned(place, SIZE, 1, True)
        assert painted_at(still, x, y, colour, red=2), place
    x, y = turned((290.0, 163.0), SIZE, 1, True)  # on the mark of another moment
    assert not painted_at(still, x, y, "red", red=2)


def test_clips_show_spans_and_not_what_would_flash(marked: BundleResult) -> None:
    with VideoFile.open(marked.path / "clips/note-01.mp4") as clip:
        record = json.loads((marked.path / "review.json").read_text("utf-8"))
        from_s = record["notes"][0]["clip_from_s"]
        frame = clip.frame_rgb(clip.index.at(AT_S - from_s))
        late = clip.frame_rgb(clip.index.at(1.9 - from_s))
    x, y = turned((240.0, 120.0), SIZE, 1, True)

    def blue(image: np.ndarray) -> float:
        return float(np.linalg.norm(image[int(y), int(x)].astype(float) - rgb("blue")))

    assert blue(frame) < 90 < blue(late)  # colours of a clip are stored at half its size
    x, y = turned((90.0, 105.0), SIZE, 1, True)
    assert not painted_at(frame, x, y, "yellow")


def test_record_and_page_speak_of_the_marks(marked: BundleResult) -> None:
    record = json.loads((marked.path / "review.json").read_text("utf-8"))
    assert [m["id"] for m in record["marks"]] == ["1", "2", "3", "4", "5"]
    assert record["notes"][0]["marks"] == ["1", "2", "3", "4"]
    assert record["marks"][1]["angle_deg"] == pytest.approx(90.0)
    assert record["marks"][3]["length_m"] == pytest.approx(2.0)
    page = html.unescape((marked.path / "index.html").read_text("utf-8")).replace("\u00a0", " ")
    assert (
        "Drawn on it: a line, an angle of 90°, the words “Grüße $5 & <b>”, a distance of 2.00 m."
    ) in page
    assert "<b>”" not in (marked.path / "index.html").read_text("utf-8")


def test_colours_read_on_their_casing_and_stay_apart() -> None:
    """WCAG 2.2, 1.4.11: at least 3 : 1 between a line and what lies beside it."""
    assert all(contrast(colour, CASING) >= 3.0 for colour in MARK_COLOURS.values())


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from([k for k in MARK_KINDS if k != "text"]),
    st.integers(0, 3),
    st.booleans(),
    st.lists(
        st.tuples(st.floats(30, 290), st.floats(30, 150)), min_size=3, max_size=3, unique=True
    ),
)
def test_a_mark_turns_with_the_picture_under_it(
    kind: str, quarter: int, mirrored: bool, three: list[tuple[float, float]]
) -> None:
    """The painted line of the turned picture is the turned line, but for its words."""
    points = tuple(three[: POINTS_OF[kind] or 3])
    mark = Mark("a", kind, points, "yellow", video_s=0.0)
    black = np.zeros((180, 320, 3), np.uint8)
    pictures = []
    for turn in (PictureTurn(), PictureTurn(quarter, mirrored)):
        painter = MarkPainter(ReviewState(marks=(mark,), turn=turn), SIZE, lambda t: 0)
        under = Turn(turn.quarter_turns, turn.mirrored).apply(black)
        pictures.append(painter.paint(under, 0.0, red=0))
    x, y = points[0] if kind != "circle" else (points[0][0], (points[0][1] + points[1][1]) / 2)
    there = turned((x, y), SIZE, quarter, mirrored)
    plated = kind in ("angle", "distance")
    assert plated or painted_at(pictures[0], x, y, "yellow")
    assert plated or painted_at(pictures[1], *there, "yellow")
    lit = [int((p[..., 0] > 120).sum()) for p in pictures]
    assert min(lit) > 0 and (plated or max(lit) < 1.3 * min(lit) + 40)


def test_words_of_every_script_are_painted_without_a_warning() -> None:
    black = np.zeros((180, 320, 3), np.uint8)
    for words in ("$x^2$", "התפיסה", "🚣", "Ж", "a" * 200, "\\frac{"):
        mark = Mark("a", "text", ((10.0, 90.0),), "blue", words)
        painter = MarkPainter(ReviewState(marks=(mark,)), SIZE, lambda t: 0)
        assert painter.paint(black, 0.0).max() > 200
    assert black.max() == 0, "the picture given stays as it was"


def test_without_marks_a_picture_is_left_as_it_is() -> None:
    black = np.zeros((18, 32, 3), np.uint8)
    assert MarkPainter(ReviewState(), (32, 18), lambda t: 0).paint(black, 0.0) is black


@pytest.mark.parametrize("turn", [PictureTurn(q, m) for q in range(4) for m in (False, True)])
def test_words_stay_inside_the_picture_however_it_is_shown(turn: PictureTurn) -> None:
    under = Turn(turn.quarter_turns, turn.mirrored).apply(np.zeros((180, 320, 3), np.uint8))
    for point in ((6.0, 6.0), (314.0, 90.0), (160.0, 176.0)):
        mark = Mark("a", "text", (point,), "yellow", "Hang on")
        painter = MarkPainter(ReviewState(marks=(mark,), turn=turn), SIZE, lambda t: 0)
        lit = painter.paint(under, 0.0, red=0)[..., 0] > 120
        edge = lit[0].sum() + lit[-1].sum() + lit[:, 0].sum() + lit[:, -1].sum()
        assert lit.sum() > 150 and edge == 0, point
