"""The followed body over what is sent of a film: only where it is ticked and was followed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.body.track import POINTS, BodyTrack
from analysis.comparing.picture_fit import PictureFit, place
from app.bundle.comparing.comparison_film import PairFilm
from app.bundle.comparing.comparison_look import pair_key
from app.bundle.page.page_curves import frame_ms
from app.bundle.pictures.content import of_track
from app.bundle.pictures.mark_paint import MarkPainter
from app.bundle.pictures.quality import QUALITY
from app.bundle.pictures.strip import picture_strip
from app.bundle.pictures.strips import turn_words
from app.bundle.sources.recordings import Sources
from app.bundle.walkthrough.walkthrough_render import WalkJob, render_walk
from app.bundle.wording.words import ENGLISH
from app.media.encode import ClipWriter
from app.media.video import VideoFile
from app.review.parts.comparisons import Comparison, new_comparison
from app.review.parts.media import MediaRef
from app.review.parts.picture import PictureTurn
from app.review.parts.sending import SendingPlan, SetSending
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import STRIP, CurveShown, Moved, Shown
from app.review.parts.walkthroughs import AddWalkthrough, new_walkthrough
from app.review.recordings import refer
from app.review.review import Review
from app.review.values.stroke_ref import StrokeRef
from app.submission.body import loaded_body
from app.submission.resolving import Resolved
from tests.helpers.followed import CAMERA, track_of
from tests.helpers.rowed import rowed
from tests.helpers.submissions import submission_of

FILM = MediaRef("video", "film.mp4", 1, "0" * 64)
SIZE = (CAMERA.width, CAMERA.height)


def track() -> BodyTrack:
    return track_of(rowed(strokes=4), 0.001)


def painter(of: BodyTrack | None, turn: PictureTurn | None = None) -> MarkPainter:
    state = ReviewState(turn=turn or PictureTurn())
    return MarkPainter(state, SIZE, lambda s: round(30 * s), track=of)


def changed(of: BodyTrack | None, at_s: float, turn: PictureTurn | None = None) -> np.ndarray:
    plain = np.full((CAMERA.height // 2, CAMERA.width // 2, 3), 90, np.uint8)
    drawn = painter(of, turn).paint(plain, at_s, spans_only=True)
    lit: np.ndarray = np.abs(drawn.astype(int) - 90).max(axis=2) > 40
    return lit


def test_joints_are_painted_where_they_were_followed() -> None:
    seen = track()
    lit = changed(seen, 1.0)
    for name in ("ankle", "knee", "hip", "shoulder", "elbow", "wrist", "head"):
        x, y = seen.xy_px[30, POINTS.index(name)] / 2.0
        assert lit[round(y) - 3 : round(y) + 4, round(x) - 3 : round(x) + 4].any(), name
    mirrored = changed(seen, 1.0, PictureTurn(0, True))
    x, y = seen.xy_px[30, POINTS.index("knee")] / 2.0
    across = CAMERA.width // 2 - round(x)
    assert mirrored[round(y) - 3 : round(y) + 4, across - 4 : across + 4].any()


def test_nothing_is_painted_where_nobody_was_seen_or_nothing_is_ticked() -> None:
    seen = track()
    gone = seen.xy_px.copy()
    gone[20:40] = np.nan
    hidden = replace(seen, xy_px=gone)
    assert not changed(hidden, 1.0).any() and not painter(hidden).draws_at(1.0)
    assert painter(hidden).draws_at(2.0)
    assert not changed(seen, 900.0).any(), "far from every frame"
    assert not changed(None, 1.0).any()


def test_it_is_drawn_when_the_plan_says_so_and_keys_of_what_was_made_tell() -> None:
    state = ReviewState(video=FILM)
    sent = submission_of(state).with_body(loaded_body(FILM, track(), 1.84))
    assert Sources(sent).shown_track is None
    wanted = SetSending(skeleton=True).apply(state)
    assert wanted.sending == SendingPlan(skeleton=True)
    shown = Sources(sent.in_state(wanted).with_body(sent.body)).shown_track
    assert shown is not None
    moved = replace(shown, xy_px=shown.xy_px + 1.0)
    assert of_track(None) == {}
    assert of_track(shown) == of_track(track()) != of_track(moved)
    assert Sources(submission_of(wanted)).shown_track is None


@pytest.fixture(scope="module")
def plain_film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A film that shows nothing: whatever is seen on its pictures was drawn over them."""
    path = tmp_path_factory.mktemp("plain") / "film.mp4"
    with ClipWriter(path, *SIZE) as film:
        for i in range(120):
            film.add(np.full((SIZE[1], SIZE[0], 3), 90, np.uint8), i / 30)
        film.finish(4.0)
    return path


def green(image: np.ndarray) -> np.ndarray:
    """Where a red green blue picture has the colour of bones."""
    red, other, _ = np.moveaxis(image.astype(int), -1, 0)
    lit: np.ndarray = other - red > 60
    return lit


def test_it_is_drawn_on_the_frames_of_a_strip(plain_film: Path) -> None:
    body = loaded_body(FILM, track(), 1.84)
    stroke = body.strokes[1]
    with VideoFile.open(plain_film) as film:
        bare, drawn = (
            picture_strip(film, stroke, turn_words(ENGLISH), ReviewState(), (), of)
            for of in (None, body.track)
        )
    assert len(bare.frames) == len(drawn.frames) > 3
    assert not any(green(f.image).any() for f in bare.frames)
    assert all(green(f.image).any() for f in drawn.frames)


def walked(film: Path, folder: Path, ticked: bool, place: str) -> tuple[np.ndarray, BodyTrack]:
    """Where bones are in a walkthrough that stands at second 1, and what was followed."""
    path = folder / f"{ticked}.review"
    state = ReviewState(video=refer(film, "video", path))
    events = (CurveShown(0.0, False), Moved(0.0, 1.0))
    shown = (Shown(0.0, STRIP, "1"),) if place == "strip" else ()
    walk = new_walkthrough((*events, *shown), 0.3)
    assert state.video is not None
    body = loaded_body(state.video, track(), 1.84)
    review = Review.create(path, SetSending(skeleton=ticked).apply(state))
    review.do(AddWalkthrough(walk))
    sources = Sources(submission_of(review.state, video=film).with_body(body))
    out = folder / f"{ticked}.mp4"
    render_walk(walk, WalkJob(review.state, path, sources), out)
    with VideoFile.open(out) as written:
        return green(written.frame_rgb(3)), body.track


def test_it_is_drawn_in_the_picture_of_a_walkthrough(plain_film: Path, tmp_path: Path) -> None:
    assert not walked(plain_film, tmp_path, False, "picture")[0].any()
    lit, seen = walked(plain_film, tmp_path, True, "picture")
    x, y = seen.of("hip")[30]
    assert lit[round(y) - 8 : round(y) + 8, round(x) - 8 : round(x) + 8].any()


def test_it_is_drawn_in_the_strip_of_a_walkthrough(plain_film: Path, tmp_path: Path) -> None:
    bare, _ = walked(plain_film, tmp_path, False, "strip")  # lines of the strip have that colour
    drawn, _ = walked(plain_film, tmp_path, True, "strip")
    assert drawn.sum() > bare.sum() + 200


def pair_of_films(film: Path, comparison: Comparison, right_body: bool) -> tuple[Resolved, ...]:
    """Both strokes of one film; of the right one's review the body was perhaps not followed."""
    body = loaded_body(FILM, track(), 1.84)
    sent = submission_of(ReviewState(video=FILM), video=film)
    return tuple(
        Resolved(stroke, sent.with_body(body if followed else None))
        for stroke, followed in ((comparison.left, True), (comparison.right, right_body))
    )


def test_it_is_drawn_on_both_pictures_of_a_comparison_where_it_was_followed(
    plain_film: Path,
) -> None:
    comparison = new_comparison(StrokeRef("", 0.5, 1.0, 2.0), StrokeRef("", 1.5, 2.0, 3.0))
    lit = {}
    for ticked, right_body in ((False, True), (True, True), (True, False)):
        left, right = pair_of_films(plain_film, comparison, right_body)
        with PairFilm(comparison, left, right, ticked) as film:
            image = film.paint((30, 60), ("", ""), width=1284)
        key = pair_key(comparison, ("a", "b"), left, right, ENGLISH, QUALITY["standard"], ticked)
        half = image.shape[1] // 2
        lit[key] = green(image[:, :half]).any(), green(image[:, half:]).any()
    assert list(lit.values()) == [(False, False), (True, True), (True, False)]


def test_in_a_comparison_it_lies_where_the_film_shows_the_body(plain_film: Path) -> None:
    fit = PictureFit(True, 0.8, 20.0, -6.0)
    comparison = new_comparison(
        StrokeRef("", 0.5, 1.0, 2.0), StrokeRef("", 1.5, 2.0, 3.0), layout="above", fit=fit
    )
    seen = track()
    with PairFilm(comparison, *pair_of_films(plain_film, comparison, True), True) as film:
        image = film.paint((30, 60), ("", ""), width=1280)
    high = (image.shape[0] - 4) // 2
    scale = high / SIZE[1]
    margin = (image.shape[1] - scale * SIZE[0]) / 2
    x, y = seen.of("hip")[30]
    here = round(margin + scale * x), round(scale * y)
    x, y = place(fit, tuple(map(float, seen.of("hip")[60])), SIZE)
    there = round(margin + scale * x), image.shape[0] - high + round(scale * y)
    for across, down in (here, there):
        assert green(image[down - 4 : down + 5, across - 4 : across + 5]).any()


def test_times_are_said_to_be_surer_where_the_handle_was_followed() -> None:
    state, seen = ReviewState(video=FILM), track()
    gone = seen.xy_px.copy()
    gone[:, POINTS.index("handle")] = np.nan
    told = [
        frame_ms(Sources(submission_of(state).with_body(loaded_body(FILM, of, 1.84))))
        for of in (seen, replace(seen, xy_px=gone))
    ]
    assert told == [33, 50], "the wrist's time does not come from the frames"
    assert frame_ms(Sources(submission_of(state))) == 0
