"""A face the coach blurred is hidden in a rendered walkthrough, however the picture stood."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from app.bundle.walkthrough.walkthrough_render import WalkJob, render_walk
from app.media.encode import ClipWriter
from app.media.opencv import opencv
from app.media.video import VideoFile
from app.review.parts.blur import BlurRegion
from app.review.parts.marks import new_mark
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import MarkDrawn, Moved, Ran, Turned, Zoomed
from app.review.parts.walkthroughs import new_walkthrough
from app.review.recordings import refer
from tests.app.bundle.test_safe_to_send import FPS, SIZE, blurred, face_at, frame, likeness
from tests.helpers.clips import needs_ffmpeg, run_ffmpeg

SECONDS = 3.0
FROM_S = 1.0
# What was done when, by its second: (quarter turns, mirrored, lift), then the zoom's factor.
STANDS = (
    (0.0, (0, False, 0.0), 1.0),
    (0.4, (0, True, 0.0), 1.0),
    (0.8, (2, False, 0.0), 1.0),
    (1.2, (1, True, 0.0), 1.0),
    (1.6, (3, False, 0.6), 1.0),
    (2.0, (0, True, 0.0), 2.0),
    (2.4, (2, True, 0.3), 1.5),
)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The film with a face in it, as it is, and as a phone held upside down or across wrote it."""
    folder = tmp_path_factory.mktemp("faces")
    frames = [frame(i) for i in range(int((FROM_S + SECONDS) * FPS) + 5)]
    for quarters, name in enumerate(("rot0", "rot90", "rot180", "rot270")):
        stored = [np.ascontiguousarray(np.rot90(image, quarters)) for image in frames]
        wide, high = SIZE[:: -1 if quarters % 2 else 1]
        first = folder / f"first-{name}.mp4"
        with ClipWriter(first, wide, high) as film:
            for i, image in enumerate(stored):
                film.add(image, i / FPS)
            film.finish(len(stored) / FPS)
        if quarters:
            told = f"rotate={360 - 90 * quarters}"
            run_ffmpeg("-i", first, "-c", "copy", "-metadata:s:v:0", told, folder / f"{name}.mp4")
        else:
            first.rename(folder / f"{name}.mp4")
    return folder


def events() -> list:
    """A walkthrough that runs through the film in real time, standing differently every while."""
    count = int(SECONDS * FPS)
    shown = [Ran(0.0, FROM_S, 1.0)]
    shown += [Moved(i / FPS + 1e-3, FROM_S + i / FPS) for i in range(count)]
    for at_s, turn, zoom in STANDS:
        shown.append(Turned(at_s, *turn))
        x, y = face_at(FROM_S + at_s + 0.2)
        shown.append(Zoomed(at_s, zoom, *seen_at(x / SIZE[0], y / SIZE[1], turn)))
    beside = new_mark("line", [(20.0, 160.0), (90.0, 160.0)], 1.0, end_s=4.0)
    return [*shown, MarkDrawn(1.0, beside)]


def seen_at(x: float, y: float, turn: tuple[int, bool, float]) -> tuple[float, float]:
    """Where a place (0-1) of the upright picture stands in the turned one."""
    for _quarter in range(turn[0]):
        x, y = 1.0 - y, x
    return (1.0 - x if turn[1] else x), y


def upright(image: NDArray[np.uint8], turn: tuple[int, bool, float]) -> NDArray[np.uint8]:
    """An output picture turned back, grey."""
    image = image[:, ::-1] if turn[1] else image
    return opencv().cvtColor(
        np.ascontiguousarray(np.rot90(image, turn[0])), opencv().COLOR_RGB2GRAY
    )


def scores(place: Path, name: str, out: Path, blurs: tuple[BlurRegion, ...]) -> list[float]:
    """How much the face is to be seen in pictures of each stand."""
    path = place / f"{name}.review"
    state = ReviewState(video=refer(place / f"{name}.mp4", "video", path), blurs=blurs)
    render_walk(new_walkthrough(events(), SECONDS), WalkJob(state, path), out)
    found = []
    with VideoFile.open(out) as film:
        assert (film.width, film.height) == SIZE
        for at_s, turn, _zoom in STANDS:
            for later_s in (0.1, 0.25):
                image = film.frame_rgb(film.index.at(at_s + later_s))
                found.append(likeness(upright(image, turn)))
    return found


@needs_ffmpeg
@pytest.mark.parametrize("name", ["rot0", "rot90", "rot180", "rot270"])
def test_no_picture_of_a_walkthrough_shows_a_blurred_face(
    place: Path, tmp_path: Path, name: str
) -> None:
    seen = scores(place, name, tmp_path / "seen.mp4", ())
    assert min(seen) > 0.6, "the check finds the face where it is not hidden"
    hidden = scores(place, name, tmp_path / "hidden.mp4", (blurred(),))
    assert max(hidden) < 0.5, hidden


@needs_ffmpeg
def test_what_lies_beside_the_face_is_as_it_was_filmed(place: Path, tmp_path: Path) -> None:
    """Only the face is hidden: its place is right, on a phone's turned clip as well."""
    for name in ("rot0", "rot90"):
        path = place / f"{name}.review"
        state = ReviewState(video=refer(place / f"{name}.mp4", "video", path))
        walk = new_walkthrough([Moved(0.0, 2.0), Turned(0.0, 0, True, 0.0)], 0.2)
        images = []
        for blurs in ((), (blurred(),)):
            job = WalkJob(ReviewState(video=state.video, blurs=blurs), path)
            render_walk(walk, job, tmp_path / "walk.mp4")
            with VideoFile.open(tmp_path / "walk.mp4") as film:
                images.append(film.frame_rgb(2).astype(int))
        apart = np.abs(images[0] - images[1]).max(axis=2)
        rows, columns = np.nonzero(apart > 40)
        x, y = face_at(2.0)
        assert abs((columns.min() + columns.max()) / 2 - (SIZE[0] - x)) < 4.0
        assert abs((rows.min() + rows.max()) / 2 - y) < 4.0
        assert np.ptp(columns) < 90 and np.ptp(rows) < 90
        away = np.hypot(*np.ogrid[-y : SIZE[1] - y, x - SIZE[0] : x])
        assert apart[away > 60].max() < 30
