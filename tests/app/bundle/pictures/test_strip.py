"""The stroke strip: which frames stand where, and what the painters make of it."""

from __future__ import annotations

import base64
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from analysis.force.intake import read_trace
from analysis.force.piece import PieceAnalysis, analyse
from analysis.force.target import TargetCurve
from analysis.measures.measures import Measures
from app.bundle.pictures.strip import (
    StripError,
    StripSpan,
    StrokeStrip,
    make_strip,
    paint_strip,
    strip_svg,
)
from app.bundle.pictures.strip_crop import moving_box
from app.bundle.pictures.strip_layout import lay_out
from app.bundle.pictures.strips import strip_alt
from app.bundle.wording.words import ENGLISH
from app.media.opencv import opencv
from app.media.video import VideoFile
from app.review.parts.marks import Mark
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.scene.colours import DARK, LIGHT
from app.scene.shapes import Line, Picture, Text
from app.submission.clock import ReviewClock
from tests.app.bundle.conftest import FPS, OFFSET_S
from tests.helpers.clips import number_in
from tests.helpers.contrast import contrast

LINED_UP = ReviewClock(Alignment(OFFSET_S, 0.0, 0.01, "by hand"))


@pytest.fixture(scope="module")
def piece(desk: Path) -> PieceAnalysis:
    return analyse(read_trace(desk / "force-of-jane.csv"))


@pytest.fixture(scope="module")
def film(desk: Path) -> Iterator[VideoFile]:
    with VideoFile.open(desk / "film-of-jane.mp4") as opened:
        yield opened


@pytest.fixture(scope="module")
def strip(film: VideoFile, piece: PieceAnalysis) -> StrokeStrip:
    return make_strip(
        film,
        piece,
        1,
        LINED_UP,
        target=TargetCurve(),
        span=StripSpan(20.0, 45.0, "a give"),
    )


def test_frames_are_those_on_screen_at_their_places(
    strip: StrokeStrip, piece: PieceAnalysis
) -> None:
    stroke = piece.strokes[1]
    drive_s = stroke.finish_s - stroke.catch_s
    half_frame_pct = 100.0 * 0.5 / FPS / drive_s
    assert len(strip.frames) == len(strip.places) == 9
    assert np.allclose(np.diff(strip.places), np.diff(strip.places)[0])
    assert strip.places[0] < 0.0 < 100.0 < strip.places[-1]
    for frame in strip.frames:
        assert abs(frame.percent - frame.place) <= half_frame_pct + 1e-6
        at_s = LINED_UP.review_time(stroke.catch_s + frame.percent / 100.0 * drive_s)
        assert at_s == pytest.approx(frame.video_s, abs=1e-6)
        assert number_in(frame.image) == round(frame.video_s * FPS)


def test_frames_the_film_does_not_hold_are_left_out(film: VideoFile, piece: PieceAnalysis) -> None:
    late = make_strip(film, piece, 3, ReviewClock(Alignment(2.0, 0.0, 0.01, "by hand")))
    assert 0 < len(late.frames) < 9
    assert all(0.0 <= f.video_s < 9.0 for f in late.frames)
    assert make_strip(film, piece, 3, ReviewClock(Alignment(50.0))).frames == ()
    many = make_strip(film, piece, 1, LINED_UP, frames=200)
    times = [f.video_s for f in many.frames]
    assert times == sorted(set(times)), "no frame stands twice"


def test_frames_are_turned_as_the_coach_set(film: VideoFile, piece: PieceAnalysis) -> None:
    plain = make_strip(film, piece, 1, LINED_UP, frames=2).frames[0].image
    mirrored = make_strip(film, piece, 1, LINED_UP, PictureTurn(0, True), frames=2)
    assert np.array_equal(mirrored.frames[0].image, plain[:, ::-1])


def test_a_stroke_that_is_not_there_is_refused_in_a_sentence(piece: PieceAnalysis) -> None:
    with pytest.raises(StripError, match="no stroke 100"):
        make_strip(None, piece, 99, LINED_UP)


def replace_peak(measured: Measures) -> Measures:
    return Measures({**measured, "peak_n": 612.0})


def test_without_a_film_the_curve_stands_alone(piece: PieceAnalysis) -> None:
    alone = make_strip(None, piece, 1, LINED_UP)
    assert alone.frames == ()
    assert alone.peak[1] == pytest.approx(600.0, abs=1.0)
    assert alone.peak[0] == pytest.approx(50.0, abs=2.0)
    # The same number as in the table and the sentence beside it, whatever noise the curve has.
    noisy = replace(piece, measures=tuple(replace_peak(m) for m in piece.measures))
    assert make_strip(None, noisy, 1, LINED_UP).peak[1] == 612.0
    assert paint_strip(alone, 500).startswith(b"\x89PNG")


def test_what_moves_is_what_is_shown() -> None:
    rng = np.random.default_rng(3)
    still = rng.integers(60, 90, (270, 480, 3)).astype(np.uint8)
    frames = []
    for i in range(9):
        frame = still.copy()
        frame[100:180, 200 + 10 * i : 240 + 10 * i] = 230  # the rower: 200 to 320 across
        frame[20:30, 400:412] = 255 if i % 2 else 0  # a lamp
        frames.append(frame)
    left, top, right, bottom = moving_box(frames)
    assert 160 <= left <= 200 and 320 <= right <= 360
    assert top <= 100 and bottom >= 180
    assert right < 400, "the lamp is not the rower"
    assert 1.2 <= (right - left) / (bottom - top) <= 1.75


def test_a_film_that_moves_all_over_is_shown_whole() -> None:
    rng = np.random.default_rng(1)
    frames = [np.full((90, 140, 3), level, np.uint8) for level in rng.integers(0, 255, 9)]
    assert moving_box(frames) == (0, 0, 140, 90)
    alike = [frames[0]] * 4
    assert moving_box(alike) == (0, 0, 140, 90)


@pytest.mark.parametrize("width", [360.0, 700.0, 1200.0])
def test_every_frame_stands_over_its_moment_and_over_no_other(
    strip: StrokeStrip, width: float
) -> None:
    layout = lay_out(strip, width)
    pictures = [s for s in layout.shapes if isinstance(s, Picture)]
    assert len(pictures) in ((9,) if width > 560 else (4, 5))
    for p in pictures:
        assert p.x - p.rim >= 0 and p.x + p.width + p.rim <= width
        for q in pictures:
            apart = q.x >= p.x + p.width or p.x >= q.x + q.width
            assert q is p or apart or abs(q.y - p.y) >= p.height
    hairs = [s for s in layout.shapes if isinstance(s, Line) and s.ink == "hair"][1:]
    for picture, hair in zip(pictures, hairs, strict=True):
        assert hair.points[0][0] == pytest.approx(picture.x + picture.width / 2)
        for other in pictures:
            inside = [
                x for x, y in hair.points
                if other.x < x < other.x + other.width and other.y < y < other.y + other.height
            ]  # fmt: skip
            assert not inside, "no hairline runs through a frame"


def test_frames_within_the_span_are_marked_and_a_narrow_strip_keeps_one(strip: StrokeStrip) -> None:
    for width in (360.0, 1000.0):
        shapes = lay_out(strip, width).shapes
        assert any(isinstance(s, Picture) and s.edge == "accent" for s in shapes)
        assert any(isinstance(s, Text) and s.text == "a give" for s in shapes)
    plain = lay_out(replace(strip, span=None), 1000.0).shapes
    assert not any(getattr(s, "edge", "") == "accent" for s in plain)
    beyond = lay_out(replace(strip, span=StripSpan(150.0, 190.0, "recovery")), 1000.0).shapes
    assert not any(isinstance(s, Text) and s.text == "recovery" for s in beyond)


@pytest.mark.parametrize(("dark", "look"), [(False, LIGHT), (True, DARK)])
def test_the_png_has_the_width_asked_for_and_holds_the_frames(
    strip: StrokeStrip, dark: bool, look: dict[str, str]
) -> None:
    data = paint_strip(strip, 900, dark, scale=1.5)
    assert data == paint_strip(strip, 900, dark, scale=1.5), "the same strip, the same bytes"
    image = opencv().imdecode(np.frombuffer(data, np.uint8), 1)[..., ::-1]
    layout = lay_out(strip, 600.0)
    assert image.shape[:2] == (round(layout.height * 1.5), 900)
    ground = [int(look["ground"][i : i + 2], 16) for i in (1, 3, 5)]
    assert image[2, 2].tolist() == ground
    first = next(s for s in layout.shapes if isinstance(s, Picture))
    y, x = round(first.y * 1.5), round(first.x * 1.5)
    shown = image[y : y + round(first.height * 1.5), x : x + round(first.width * 1.5)]
    whole = opencv().resize(first.image, shown.shape[1::-1], interpolation=3)
    middle = (slice(20, -20), slice(20, -20))
    assert np.abs(shown[middle].astype(int) - whole[middle].astype(int)).mean() < 3.0


def test_the_svg_is_well_formed_whole_and_escapes_its_words(strip: StrokeStrip) -> None:
    hostile = replace(strip, span=StripSpan(10.0, 30.0, "<script>&\"'"), title="$x_1$ & <b>")
    text = strip_svg(hostile, alt='a "strip" & more')
    root = ET.fromstring(text)
    assert "<script" not in text and "<b>" not in text
    links = [v for e in root.iter() for k, v in e.attrib.items() if k.endswith("href")]
    assert len(links) == 9
    for link in links:
        head, data = link.split(",", 1)
        assert head == "data:image/jpeg;base64"
        assert opencv().imdecode(np.frombuffer(base64.b64decode(data), np.uint8), 1) is not None
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", text)
    assert paint_strip(hostile, 700).startswith(b"\x89PNG")


@pytest.mark.parametrize("look", [LIGHT, DARK])
def test_words_and_lines_stand_out(look: dict[str, str]) -> None:
    """WCAG 2.2: 4.5 for words, 3 for lines that carry meaning."""
    for role in ("ink", "quiet"):
        assert contrast(look[role], look["ground"]) >= 4.5
    for role in ("own", "mean", "target", "accent"):
        assert contrast(look[role], look["ground"]) >= 3.0
    for role in ("own", "mean", "target"):
        assert contrast(look[role], look["shade"]) >= 3.0
        assert contrast(look[role], look["fill"]) >= 3.0


def test_marks_of_the_picture_stand_on_the_frames_they_hold(
    film: VideoFile, piece: PieceAnalysis, strip: StrokeStrip
) -> None:
    """One mark on one frame, one through three of them; the cut and other frames stay."""
    frames = strip.frames
    middle = ((60.0, 60.0), (260.0, 120.0))
    marks = (
        Mark("one", "line", middle, "red", "", frames[2].video_s),
        Mark("span", "line", middle, "red", "", frames[4].video_s, frames[6].video_s),
        Mark("elsewhere", "line", middle, "red", "", 0.0),
    )
    marked = make_strip(film, piece, 1, LINED_UP, state=ReviewState(marks=marks))
    assert [len(f.marks) for f in marked.frames] == [0, 0, 1, 0, 1, 1, 1, 0, 0]
    for before, after in zip(frames, marked.frames, strict=True):
        assert before.image.shape == after.image.shape
        changed = np.any(before.image != after.image, axis=2)
        assert changed.any() == bool(after.marks)
        if after.marks:
            ink = np.array([0xD5, 0x5E, 0x00])
            assert (np.abs(after.image.astype(int) - ink).max(axis=2) < 12).sum() > 50


def test_a_strip_says_which_marks_are_seen_on_it(
    film: VideoFile, piece: PieceAnalysis, strip: StrokeStrip
) -> None:
    points = ((100.0, 100.0), (60.0, 100.0), (60.0, 60.0))
    mark = Mark("a", "angle", points, "blue", "", strip.frames[0].video_s, strip.frames[8].video_s)
    marked = make_strip(film, piece, 1, LINED_UP, state=ReviewState(marks=(mark,)))
    said = strip_alt(marked, piece.strokes[1], ENGLISH)
    assert said.count("an angle of 90°") == 1
