"""How far apart two filmed strokes are in what a coach and an athlete see, read from the pixels.

QT_QPA_PLATFORM=offscreen python -m tests.benchmarks.comparison_end_to_end [SEEDS]

One rower at 18 and at 32 strokes a minute, the second film mirrored, at 0.6 of its size, shifted;
frame numbers and three body points are in the pixels. The whole way is gone: films and force are
opened, strokes found on the force, a comparison made, catch and finish laid together, the pictures
by two clicks; the frame numbers and points are read back from the clip of the bundle and from the
two pictures of the window.
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from analysis.comparing.picture_fit import fit_pictures
from app.bundle.comparing.comparison_film import PairFilm, write_pair_clip
from app.media.video import VideoFile
from app.review.file.store import read_review
from app.review.parts.comparisons import Comparison, new_comparison
from app.review.values.stroke_ref import StrokeRef
from app.submission.resolving import resolve, stroke_ref
from app.window.features.comparing.comparisons import Comparisons
from app.window.main_window import MainWindow
from app.window.session.other_recordings import own_recording
from app.window.session.settings import Settings
from app.window.widgets.theme import dress
from tests.benchmarks.comparison_play import chosen_recording
from tests.benchmarks.window_block import pass_time
from tests.helpers.filmed_rowers import FPS, Filmed, Image, film_rower
from tests.helpers.pair_read import PairRead, PairsApart, pairs_apart, read_pair


def found_stroke(filmed: Filmed, source: str = "") -> StrokeRef:
    """The stroke that is compared, as it is found on the recording of the force."""
    state, true = read_review(filmed.review), filmed.true
    own = StrokeRef("", true.catch_s, true.finish_s, true.next_catch_s)
    found = resolve(own, state, filmed.review, None).force_stroke
    assert found is not None
    return stroke_ref(found, state, source)


def picked_stroke(filmed: Filmed, source: str = "") -> StrokeRef:
    """The stroke as a hand picks it, each event on the nearest frame."""
    t = filmed.true
    catch_s, finish_s, next_s = (
        round(s * FPS) / FPS for s in (t.catch_s, t.finish_s, t.next_catch_s)
    )
    return StrokeRef(source, catch_s, finish_s, next_s)


def in_the_clip(left: Filmed, right: Filmed, comparison: Comparison, out: Path) -> list[PairRead]:
    """Write the clip of a comparison as the bundle does, and read every frame of it."""
    state = read_review(left.review)
    sides = [resolve(s, state, left.review, None) for s in (comparison.left, comparison.right)]
    with PairFilm(comparison, *sides) as film:
        write_pair_clip(film, out, ("", ""), None)
    with VideoFile.open(out) as shown:
        each = (shown.width - 4) // 2
        pictures = [shown.frame_rgb(i) for i in range(len(shown.index))]
    scale = each / left.camera.width
    return [read_pair(p[:, :each], p[:, p.shape[1] - each :], scale) for p in pictures]


def clicked(left: Filmed, right: Filmed, slip_px: float, seed: int) -> Comparison:
    """A comparison of the found strokes, its pictures laid together by clicks that slip."""
    rng = np.random.default_rng(seed)
    places = [
        (np.array(f.still) + rng.normal(0.0, slip_px, (2, 2))).tolist() for f in (left, right)
    ]
    size = (float(right.camera.width), float(right.camera.height))
    fit = fit_pictures(places[0], places[1], size).fit
    assert fit.mirrored
    sides = found_stroke(left), found_stroke(right, right.review.name)
    return new_comparison(*sides, fit=fit)


class Bench:
    """The window with both reviews, driven as a hand would."""

    def __init__(self, folder: Path) -> None:
        app = QApplication.instance() or QApplication(sys.argv[:1])
        assert isinstance(app, QApplication)
        dress(app)
        settings = Settings(folder / "settings.json")
        settings.lines_up_by_itself = False
        self.window = MainWindow(settings)
        self.window.resize(1920, 1040)
        self.window.show()

    def compare(self, left: Filmed, right: Filmed) -> None:
        """Open both, take the strokes the force tells, lay them together by two clicks."""
        window = self.window
        window.session.open_paths([left.review])
        pass_time(60.0, lambda: window.picture.frame is not None and not window.jobs.running)
        own = own_recording(window.session)
        nearest = min(own.strokes(), key=lambda s: abs(own.ref(s).catch_s - left.true.catch_s))
        here = own.ref(nearest)
        comparing = window[Comparisons].comparing
        other = chosen_recording(window, replace(here, source=str(right.review)))
        nearest = min(other.strokes(), key=lambda s: abs(other.ref(s).catch_s - right.true.catch_s))
        comparing.add(here, other.ref(nearest), other)
        self.go_to(here.catch_s)
        window[Comparisons].adjusting.lay_together()
        stage = comparing.stage
        for a, b in zip(left.still, right.still, strict=True):
            for side, pane, at in (("left", window.picture, a), ("right", stage.second, b)):
                spot = pane.video_transform().map(QPointF(*at)).toPoint()
                QTest.mouseClick(stage.sheets[side], Qt.MouseButton.LeftButton, pos=spot)
        fitted = comparing.selected
        assert fitted is not None and fitted.fit.mirrored
        print(f"    laid together in the window: {fitted.fit}")

    def go_to(self, left_s: float) -> None:
        """Go to a moment and wait for both pictures."""
        window, comparing = self.window, self.window[Comparisons].comparing
        window.playhead.seek(left_s)
        footage = window.session.footage
        assert footage is not None
        wanted = footage.index.at(left_s)

        def there() -> bool:
            first, second = window.picture.frame, comparing.stage.second.frame
            right = None if second is None else second.index
            here = first is not None and first.index == wanted
            return here and right == comparing.second.frame_at(left_s)

        pass_time(20.0, there)
        assert there()

    def read(self, left: Filmed) -> list[PairRead]:
        """Step through the left stroke and read both panes."""
        window, second = self.window, self.window[Comparisons].comparing.stage.second
        first = int(np.ceil(left.true.catch_s * FPS))
        last = int(np.floor(left.true.next_catch_s * FPS))
        found = []
        for frame in range(first, last + 1):
            self.go_to(frame / FPS)
            place = window.picture.video_transform()
            corner, scale = place.map(QPointF(0.0, 0.0)), place.m11()
            box = (corner.x(), corner.y(), left.camera.width * scale, left.camera.height * scale)
            scenes = [_cut(_pixels(pane), box) for pane in (window.picture, second)]
            found.append(read_pair(scenes[0], scenes[1], scale))
        return found


def _pixels(pane: QWidget) -> Image:
    image = pane.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).copy()


def _cut(image: Image, box: tuple[float, float, float, float]) -> Image:
    x, y, wide, high = (round(v) for v in box)
    return image[y : y + high, x : x + wide]


def told(name: str, apart: PairsApart) -> None:
    """Say how far apart the pairs are."""

    def shares(values: np.ndarray) -> str:
        size = np.abs(values)
        return (
            f"p50 {np.median(size):.2f}, p95 {np.percentile(size, 95):.2f}, worst {size.max():.2f}"
        )

    print(f"  {name}: {len(apart.frames)} pairs")
    print(f"    phase, frames of the right film: {shares(apart.frames)}")
    print(f"    whole frames alone leave:        {shares(apart.floor)}")
    for point, values in apart.apart_px.items():
        print(
            f"    {point:9s} apart, px: {shares(values)}; rowed differently "
            f"{np.median(apart.rowed_px[point]):.2f}, {apart.rowed_px[point].max():.2f}; "
            f"left by laying together {np.median(apart.laid_px[point]):.2f}, "
            f"{apart.laid_px[point].max():.2f} (p50, worst)"
        )


def main(seeds: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        for seed in range(seeds):
            folder = Path(name) / str(seed)
            # The same rower and the same way to row; with another seed strokes vary as well.
            left = film_rower(folder, 18.0, seed=seed + 5)
            right = film_rower(folder, 32.0, seed=seed + 5 + 40 * (seed > 0), second=True)
            print(f"piece {seed}, {left.camera.width} px wide")
            for slip_px in (0.0, 1.0):
                comparison = clicked(left, right, slip_px, seed)
                read = in_the_clip(left, right, comparison, folder / "pair.mp4")
                told(
                    f"clip, strokes from force, clicks off by {slip_px:.0f} px",
                    pairs_apart(left, right, read),
                )
            by_hand = replace(
                comparison,
                left=picked_stroke(left),
                right=picked_stroke(right, right.review.name),
            )
            read = in_the_clip(left, right, by_hand, folder / "pair.mp4")
            told("clip, events picked on the nearest frame", pairs_apart(left, right, read))
            if seed == 0:
                bench = Bench(folder)
                bench.compare(left, right)
                told(
                    "window, strokes from force, clicked on whole pixels",
                    pairs_apart(left, right, bench.read(left)),
                )
                bench.window.close()


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else 2)
