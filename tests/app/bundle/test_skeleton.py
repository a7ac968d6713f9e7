"""The followed body over stills and clips: only where it is ticked, and where it was followed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.body.track import POINTS, BodyTrack
from app.bundle.pictures.content import of_track
from app.bundle.pictures.mark_paint import MarkPainter
from app.bundle.sources.recordings import Sources
from app.review.parts.media import MediaRef
from app.review.parts.picture import PictureTurn
from app.review.parts.sending import SendingPlan, SetSending
from app.review.parts.state import ReviewState
from app.submission.body import loaded_body
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
