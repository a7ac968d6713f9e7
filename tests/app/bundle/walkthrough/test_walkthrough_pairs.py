"""A comparison within a rendered walkthrough: both frames of each picture, and what is lost."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from analysis.comparing.picture_fit import PictureFit
from app.bundle.comparing.comparison_paint import Stage, paint_pair
from app.bundle.walkthrough.walkthrough_render import RenderedWalk, WalkJob, render_walk
from app.media.encode import ClipWriter
from app.media.video import VideoFile
from app.review.parts.blur import BlurKey, BlurRegion
from app.review.parts.comparisons import Comparison, PairLook
from app.review.parts.marks import new_mark
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import (
    CurveShown,
    Laid,
    MarkDrawn,
    Moved,
    Ran,
    Shown,
    Turned,
    Zoomed,
)
from app.review.parts.walkthroughs import Walkthrough, new_walkthrough
from app.review.recordings import refer
from app.review.values.stroke_ref import StrokeRef
from tests.helpers.clips import number_in, numbered
from tests.helpers.reviews import write_review

FPS = 30
RIGHT_FPS = 25
SIZE = (640, 360)
PANE = (318, 360)  # half of it, less the gap
# Drives of 0.8 and 1.2 s, recoveries of 1.2 and 1.0 s.
LEFT = StrokeRef("", 1.0, 1.8, 3.0, "now")
RIGHT = StrokeRef("other.review", 2.0, 3.2, 4.2, "last month")
PAIR = Comparison("pair", LEFT, RIGHT, "Both")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two films whose pixels hold their frame's number, each with its review and force."""
    folder = tmp_path_factory.mktemp("pairs")
    for name, fps, count in (("film", FPS, 120), ("other", RIGHT_FPS, 125)):
        with ClipWriter(folder / f"{name}.mp4", *SIZE) as film:
            for i in range(count):
                film.add(numbered(i, *SIZE), i / fps)
            film.finish(count / fps)
        drive = (1.0, 0.8, 600.0) if name == "film" else (2.0, 1.2, 420.0)
        (folder / f"{name}.csv").write_text(force_text(*drive), "utf-8")
    write_review(folder / "other.review", state_of(folder, "other"))
    return folder


def force_text(catch_s: float, drive_s: float, peak_n: float) -> str:
    time_s = np.arange(0.0, 8.0, 0.01)
    share = np.clip(np.mod(time_s - catch_s, 2.0) / drive_s, 0.0, 1.0)
    force_n = peak_n * np.sin(np.pi * share)
    rows = "".join(f"{t:.2f},{f:.2f}\n" for t, f in zip(time_s, force_n.clip(0), strict=True))
    return "time_s,force_N\n" + rows


def state_of(folder: Path, name: str, with_force: bool = False, **fields) -> ReviewState:
    path = folder / f"{name}.review"
    trace = None
    if with_force or name == "other":
        from analysis.force.intake import read_trace

        mapping = read_trace(folder / f"{name}.csv").intake.mapping
        trace = refer(folder / f"{name}.csv", "trace", path, mapping)
        fields["alignment"] = Alignment(method="by hand")
    return ReviewState(video=refer(folder / f"{name}.mp4", "video", path), trace=trace, **fields)


def rendered(folder: Path, out: Path, walk: Walkthrough, state: ReviewState) -> RenderedWalk:
    return render_walk(walk, WalkJob(state, folder / "film.review"), out)


def pictures(path: Path) -> list[np.ndarray]:
    with VideoFile.open(path) as made:
        return [made.frame_rgb(i) for i in range(len(made.index))]


def panes(image: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Both pictures side by side, each in the middle of its half."""
    high = round(PANE[0] * SIZE[1] / SIZE[0])
    top = (SIZE[1] - high) // 2
    rows = image[top : top + high]
    return rows[:, : PANE[0]], rows[:, SIZE[0] - PANE[0] :]


def right_place(left: int) -> float:
    """Where the right film stands, in frames: catch with catch, finish with finish and so on."""
    at_s = left / FPS
    there_s = 2.0 + (at_s - 1.0) * 1.2 / 0.8 if at_s < 1.8 else 3.2 + (at_s - 1.8) * 1.0 / 1.2
    return there_s * RIGHT_FPS


def test_both_frames_of_each_picture_are_those_that_were_shown(
    folder: Path, tmp_path: Path
) -> None:
    """At rest on frame 36; runs to 66 with a comparison from the middle; alone again at the end."""
    events = [Moved(0.0, 36 / FPS), Ran(0.5, 36 / FPS, 1.0)]
    events += [Moved(0.5 + i / FPS + 0.002, (36 + i) / FPS + 1e-4) for i in range(31)]
    events += [Ran(1.5, 66 / FPS, 0.0), Shown(0.8, "comparison", "pair"), Shown(2.0, "picture")]
    walk = new_walkthrough(events, 2.5)
    state = state_of(folder, "film", comparisons=(PAIR,))
    made = rendered(folder, tmp_path / "walk.mp4", walk, state)
    assert made.remarks == () and made.lost_pairs == 0
    seen = pictures(tmp_path / "walk.mp4")
    assert len(seen) == 75
    for n, image in enumerate(seen):
        at_s = (n + 0.5) / FPS
        left = 36 if at_s < 0.5 else min(36 + int((at_s - 0.5) * FPS + 1e-6), 66)
        if 0.8 <= at_s < 2.0:
            there, beside = (number_in(pane) for pane in panes(image))
            assert there == left, n
            assert abs(beside - right_place(left)) <= 0.5 + 1e-6, n
        else:
            assert number_in(image) == left, n


def test_as_the_stage_stood_turned_zoomed_and_marked(folder: Path, tmp_path: Path) -> None:
    mark = new_mark("line", [(200.0, 260.0), (440.0, 260.0)], 45 / FPS, colour="red")
    events = [
        Moved(0.0, 45 / FPS),
        Shown(0.0, "comparison", "pair"),
        MarkDrawn(1.0, mark),
        Turned(2.0, 0, True, 0.0),
        Zoomed(3.0, 2.0, 0.5, 0.75),
    ]
    walk = new_walkthrough(events, 4.0)
    state = state_of(folder, "film", comparisons=(PAIR,), marks=(mark,))
    rendered(folder, tmp_path / "walk.mp4", walk, state)
    plain, marked, mirrored, zoomed = (
        pictures(tmp_path / "walk.mp4")[i] for i in (15, 45, 75, 105)
    )
    assert number_in(panes(plain)[0]) == 45

    def is_red(image: np.ndarray, pane: int) -> np.ndarray:
        part = panes(image)[pane].astype(int)
        return (part[..., 0] - part[..., 2] > 110) & (part[..., 1] < 140)

    there = (slice(127, 132), slice(130, 190))  # 260 of 360 down in a pane 179 high
    assert not is_red(plain, 0)[there].any()
    assert is_red(marked, 0)[there].any(axis=0).all()
    assert not is_red(marked, 1)[there].any(), "marks belong to the left film"
    for pane in (0, 1):
        one, other = (panes(image)[pane].astype(int) for image in (plain, mirrored))
        rows = slice(30, 120)
        assert np.abs(one[rows, ::-1] - other[rows]).mean() < 6.0
    # Twice as large about the middle, three quarters down: the mark is twice as thick a bit above.
    left = zoomed[:, : PANE[0]].astype(int)
    red = (left[..., 0] - left[..., 2] > 110) & (left[..., 1] < 140)
    rows = np.flatnonzero(red[:, 100:218].mean(axis=1) > 0.8)
    # The pane is as high as the zoomed picture is: the mark stands at its 260 / 360.
    assert len(rows) and abs(rows.mean() - 260.0) < 4.0


def test_both_curves_run_beneath_and_the_cursor_follows(folder: Path, tmp_path: Path) -> None:
    at = {0.0: 1.1, 1.0: 1.5, 2.0: 2.4}  # an eighth and five eighths of the drive, the recovery
    events = [Moved(at_s, video_s) for at_s, video_s in at.items()]
    events += [Shown(0.0, "comparison", "pair"), Shown(3.0, "picture"), CurveShown(4.0, False)]
    walk = new_walkthrough(events, 5.0)
    state = state_of(folder, "film", True, comparisons=(PAIR,))
    rendered(folder, tmp_path / "walk.mp4", walk, state)
    seen = pictures(tmp_path / "walk.mp4")
    first, second, recovery, alone, bare = (
        seen[i][360:].astype(int) for i in (15, 45, 75, 105, 135)
    )

    def columns(panel: np.ndarray, more: int, less: int, by: int = 60) -> np.ndarray:
        """Where one of red, green and blue is well over another, off the axis and the legend."""
        return np.flatnonzero((panel[25:66, :, more] - panel[25:66, :, less] > by).any(axis=0))

    box = 640 - 0.02 * 640
    places = [columns(panel, 0, 2, 110).mean() for panel in (first, second)]
    catch = places[0] - (box - places[0]) / 7  # an eighth of the drive is behind it
    assert places[1] - catch == pytest.approx(0.625 * (box - catch), abs=4.0)
    assert len(columns(recovery, 0, 2, 110)) == 0
    for panel in (first, second, recovery):
        assert len(columns(panel, 2, 0)) > 20, "the left curve is blue"
        assert len(columns(panel, 2, 1, 25)) > len(columns(alone, 2, 1, 25)), "the right is purple"
    assert len(columns(alone, 2, 0)) > 20
    assert bare[5:].max() < 60


@pytest.mark.parametrize("lost", ["deleted", "gone"])
def test_what_is_lost_leaves_the_picture_alone_and_one_remark(
    folder: Path, tmp_path: Path, lost: str
) -> None:
    events = [
        Moved(0.0, 40 / FPS),
        Shown(0.2, "comparison", "pair"),
        Shown(0.4, "picture"),
        Shown(0.6, "comparison", "pair"),
    ]
    walk = new_walkthrough(events, 1.0)
    away = replace(PAIR, right=replace(RIGHT, source="nowhere.review"))
    state = state_of(folder, "film", comparisons=() if lost == "deleted" else (away,))
    made = rendered(folder, tmp_path / "walk.mp4", walk, state)
    assert len(made.remarks) == made.lost_pairs == 1 and not made.is_mute
    assert ("deleted" if lost == "deleted" else "nowhere.review") in made.remarks[0]
    assert {number_in(image) for image in pictures(tmp_path / "walk.mp4")} == {40}


def test_a_face_blurred_in_either_film_is_hidden_in_its_half(folder: Path, tmp_path: Path) -> None:
    """The corner block of its own colour stands for a face; hiding mixes it with what is around."""
    other = state_of(folder, "other")
    region = BlurRegion("b" * 32, (BlurKey(0.0, 20.0, 340.0, 200.0, 160.0, True),))
    walk = new_walkthrough([Moved(0.0, 45 / FPS), Shown(0.0, "comparison", "pair")], 0.2)
    state = state_of(folder, "film", comparisons=(PAIR,))
    try:
        for own, theirs in (((), ()), ((region,), ()), ((), (region,))):
            write_review(folder / "other.review", replace(other, blurs=theirs))
            rendered(folder, tmp_path / "walk.mp4", walk, replace(state, blurs=own))
            blocks = [
                pane[155:177, 3:25].astype(int)
                for pane in panes(pictures(tmp_path / "walk.mp4")[3])
            ]
            for block, hidden in zip(blocks, (own, theirs), strict=True):
                is_block = np.abs(block - (200, 40, 40)).max(axis=2) < 40
                assert is_block.mean() < 0.1 if hidden else is_block.mean() > 0.9
    finally:
        write_review(folder / "other.review", other)


def test_a_stage_is_filled_whatever_its_shape() -> None:
    picture = numbered(5, 320, 180)
    for layout in ("beside", "above", "over"):
        pair = replace(PAIR, layout=layout)
        for size in ((360, 640), (1920, 1080)):
            for turn in (PictureTurn(), PictureTurn(1, True)):
                stage = Stage(size, (3.0, 0.1, 0.9))
                made = paint_pair(picture, picture, pair, turn=turn, labels=("a", "b"), stage=stage)
                assert made.shape == (size[1], size[0], 3)


def test_a_layout_changed_midway_is_shown_as_it_was_then(folder: Path, tmp_path: Path) -> None:
    """Beside, one above the other, on real time, mirrored; the review lays them together since."""
    beside = PairLook()
    above = PairLook(layout="above")
    real = PairLook(layout="above", timing="real")
    mirrored = PairLook(timing="free", shift_s=0.2, fit=PictureFit(mirrored=True))
    at_s = 1.6  # three quarters of the left drive
    events = [Moved(0.0, at_s), Shown(0.0, "comparison", "pair")]
    events += [Laid(float(i), look) for i, look in enumerate((beside, above, real, mirrored))]
    walk = new_walkthrough(events, 4.0)
    since = replace(PAIR, layout="over", timing="real", opacity=0.0)
    made = rendered(
        folder, tmp_path / "walk.mp4", walk, state_of(folder, "film", comparisons=(since,))
    )
    assert made.remarks == ()
    seen = pictures(tmp_path / "walk.mp4")
    assert len(seen) == 120
    left = round(at_s * FPS)
    by_phase, in_time = right_place(left), (2.0 + 0.6) * RIGHT_FPS

    def one_above_the_other(image: np.ndarray) -> tuple[int, int]:
        high = (SIZE[1] - 4) // 2
        wide = round(high * SIZE[0] / SIZE[1])
        part = image[:, (SIZE[0] - wide) // 2 : (SIZE[0] + wide) // 2]
        return number_in(part[:high]), number_in(part[-high:])

    for n, image in enumerate(seen):
        if n < 30:
            here, there = (number_in(pane) for pane in panes(image))
            place = by_phase
        elif n < 90:
            here, there = one_above_the_other(image)
            place = by_phase if n < 60 else in_time
        else:
            first, second = panes(image)
            here, there = number_in(first), number_in(second[:, ::-1])
            place = in_time + 0.2 * RIGHT_FPS  # later in its stroke
        assert here == left, n
        assert abs(there - place) <= 0.5 + 1e-6, n


def test_a_recording_without_such_events_shows_the_review_as_it_is(
    folder: Path, tmp_path: Path
) -> None:
    walk = new_walkthrough([Moved(0.0, 1.6), Shown(0.0, "comparison", "pair")], 0.2)
    now = replace(PAIR, timing="real")
    rendered(folder, tmp_path / "walk.mp4", walk, state_of(folder, "film", comparisons=(now,)))
    there = number_in(panes(pictures(tmp_path / "walk.mp4")[0])[1])
    assert abs(there - 2.6 * RIGHT_FPS) <= 0.5 + 1e-6
