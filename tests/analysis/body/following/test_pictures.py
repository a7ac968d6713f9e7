"""What is read from pictures: the camera's motion, a rigid feature, points carried by flow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from analysis.body.following.carrying import carry
from analysis.body.following.follow import follow, never, observe, refine, silent
from analysis.body.following.frames import frame_at, grey, walk
from analysis.body.following.observed import (
    FollowingCancelledError,
    FollowingError,
    nothing_observed,
)
from analysis.body.following.rigid import RigidFollower, cut_template
from analysis.body.following.steadying import Steadier, similarity
from analysis.body.track import POINTS, Click, Source
from tests.analysis.body.following.linkage import (
    STATURE,
    Truth,
    clicks_at,
    errors,
    read_wrongly,
    rower,
)
from tests.analysis.body.following.pictures import HEIGHT, WIDTH, Film, hand_held, speckle

HANDLE = POINTS.index("handle")


@pytest.fixture(scope="module")
def truth() -> Truth:
    return rower(9.5, fps=15.0)


def click(film: Film, frame: int, point: str) -> Click:
    x, y = film.seen_px[frame, POINTS.index(point)]
    return Click(float(film.truth.time_s[frame]), point, float(x), float(y))


def short(truth: Truth, frames: int) -> Truth:
    return Truth(truth.time_s[:frames], truth.xy_px[:frames], truth.share[:frames])


# -- frames --------------------------------------------------------------------------------------


def test_colour_is_made_grey_and_frames_of_one_instant_count_once() -> None:
    picture = np.zeros((4, 6, 3), np.uint8)
    picture[..., 1] = 200
    assert grey(picture).shape == (4, 6) and 100 < grey(picture)[0, 0] < 140

    def read(start_s: float, end_s: float) -> list[tuple[float, np.ndarray]]:
        times = (0.0, 0.1, 0.1, 0.2)
        return [(t, picture) for t in times if start_s <= t < end_s]

    said: list[float] = []
    assert [t for t, _ in walk(read, (0.0, 0.25), never, said.append)] == [0.0, 0.1, 0.2]
    assert said == sorted(said)
    found = frame_at(read, 0.13)
    assert found is not None and found[0] == 0.1
    assert frame_at(read, 5.0) is None


# -- the camera ----------------------------------------------------------------------------------


def test_a_similarity_is_found_again() -> None:
    points = np.random.default_rng(1).normal(size=(20, 2))
    turn = np.array(((0.9, -0.2), (0.2, 0.9)))
    matrix = similarity(points, points @ turn.T + (3.0, -1.0))
    assert np.allclose(matrix, np.column_stack((turn, (3.0, -1.0))))


def test_the_cameras_motion_is_found_and_does_not_add_up(truth: Truth) -> None:
    part = short(truth, 60)
    film = Film(part, hand_held(60))
    box = (210.0, 130.0, 720.0, 500.0)
    steadier = Steadier((box,))
    for _, image in film(0.0, 99.0):
        steadier.step(image)
    found = steadier.result()
    matrices = found.matrices(WIDTH, HEIGHT)
    assert matrices is not None
    back = np.einsum("tij,tkj->tki", matrices[:, :, :2], film.seen_px) + matrices[:, None, :, 2]
    first = film.camera[0]
    there = part.xy_px @ first[:, :2].T + first[:, 2]
    off = np.hypot(*np.moveaxis(back - there, -1, 0))
    assert np.percentile(off, 95) < 0.25
    assert off[-10:].mean() < off[:20].mean() + 0.1
    assert np.nanmedian(found.sd_px) > 0.2 * off.std()


def test_a_camera_on_a_tripod_stood_still(truth: Truth) -> None:
    steadier = Steadier(((210.0, 130.0, 720.0, 500.0),))
    for _, image in Film(short(truth, 15))(0.0, 99.0):
        steadier.step(image)
    assert steadier.result().matrices(WIDTH, HEIGHT) is None


def test_a_camera_that_is_pushed_after_long_rest_is_seen_to_move(truth: Truth) -> None:
    still = Film(short(truth, 1)).frame(0)
    steadier = Steadier(((210.0, 130.0, 720.0, 500.0),))
    for k in range(80):
        steadier.step(np.roll(still, max(k - 50, 0), axis=1))
    looked = np.isfinite(steadier.result().to_first).all(axis=(1, 2))
    assert (~looked[:50]).sum() >= 10 and looked[56:].all()
    moved = steadier.result().matrices(still.shape[1], still.shape[0])
    assert moved is not None
    assert -moved[-1, 0, 2] == pytest.approx(29.0, abs=0.3)
    assert np.abs(moved[:50, :, 2]).max() < 0.2


def test_a_wall_without_features_gives_no_motion() -> None:
    steadier = Steadier()
    for _ in range(3):
        steadier.step(np.full((90, 160), 128, np.uint8))
    assert steadier.result().matrices(160, 90) is None


# -- a rigid feature -----------------------------------------------------------------------------


def follow_handle(film: Film, at: int, home: tuple[float, ...] | None = None) -> np.ndarray:
    x, y = film.seen_px[at, HANDLE]
    template = cut_template(film.frame(at), float(x), float(y), 11)
    assert template is not None
    box = None if home is None else (home[0], home[1], home[2], home[3])
    follower = RigidFollower([template], 40.0, box)
    out = np.full((len(film.truth.time_s), 3), np.nan)
    for i, (time_s, image) in enumerate(film(0.0, 99.0)):
        match = follower.step(time_s, image)
        if match is not None:
            out[i] = match.x_px, match.y_px, match.sd_px
    return out


def test_a_feature_is_followed_to_fractions_of_a_pixel_also_before_its_click(truth: Truth) -> None:
    film = Film(short(truth, 70))
    found = follow_handle(film, 50)
    off = np.hypot(*(found[:, :2] - film.seen_px[:, HANDLE]).T)
    assert np.isfinite(off).mean() > 0.95
    assert np.nanpercentile(off, 95) < 0.26
    assert np.nanmax(off) < 1.0


def test_what_is_hidden_is_a_gap_and_is_found_again(truth: Truth) -> None:
    hidden = tuple(range(20, 34))
    film = Film(short(truth, 60), hidden=hidden)
    found = follow_handle(film, 10, (0.0, 200.0, WIDTH - 1.0, 400.0))
    assert np.isnan(found[list(hidden)]).all()
    late = np.hypot(*(found[36:, :2] - film.seen_px[36:, HANDLE]).T)
    assert np.isfinite(late).mean() > 0.9 and np.nanmax(late) < 0.5


def test_plain_places_and_places_at_the_rim_make_no_template() -> None:
    picture = speckle(100, 100, 3).astype(np.uint8)
    assert cut_template(picture, 50.0, 50.0, 8) is not None
    assert cut_template(picture, 3.0, 50.0, 8) is None
    assert cut_template(np.full((100, 100), 90, np.uint8), 50.0, 50.0, 8) is None


def test_two_alike_are_not_guessed_between() -> None:
    picture = speckle(200, 300, 3).astype(np.uint8)
    template = cut_template(picture, 60.0, 60.0, 9)
    assert template is not None
    twice = picture.copy()
    twice[100:140, 200:240] = picture[40:80, 40:80]
    assert RigidFollower([template], 20.0).step(0.0, picture) is not None
    assert RigidFollower([template], 20.0).step(0.0, twice) is None


def test_what_has_a_double_in_its_own_frame_is_not_looked_for_elsewhere() -> None:
    """A contour that occurs again would be found at the wrong one while the right one is hidden."""
    picture = speckle(200, 300, 3).astype(np.uint8)
    picture[100:140, 200:240] = picture[40:80, 40:80]
    template = cut_template(picture, 60.0, 60.0, 9)
    assert template is not None and not template.only_one
    follower = RigidFollower([template], 12.0)
    assert follower.step(0.0, picture) is None
    follower.put(0.0, 60.0, 60.0, 0)
    assert follower.step(0.03, picture) is not None
    covered = picture.copy()
    covered[30:90, 30:90] = 100
    assert [follower.step(0.1 + 0.03 * i, covered) for i in range(12)] == [None] * 12


# -- the whole way -------------------------------------------------------------------------------


def test_clicks_of_one_stroke_are_carried_to_all(truth: Truth) -> None:
    """Without a detector: eight frames of one stroke, camera in the hand."""
    film = Film(truth, hand_held(len(truth.time_s)))
    start = int(np.flatnonzero(np.diff(np.floor(truth.share)) > 0)[1]) + 1
    stroke = np.flatnonzero(np.diff(np.floor(truth.share)) > 0)[2] + 1 - start
    frames = [start + round(k * stroke / 8) for k in range(8)]
    seen = replace(truth, xy_px=film.seen_px)
    clicks = [*clicks_at(seen, frames), click(film, frames[0], "handle")]
    said: list[float] = []
    followed = follow(film, (0.0, 99.0), clicks, progress=said.append)
    track = followed.track
    off = errors(seen, track.xy_px)
    inside = np.isfinite(followed.observed.phase)
    assert inside.mean() > 0.6
    assert np.isfinite(off[inside]).all()
    assert np.percentile(off[inside], 50) < 0.8 and np.percentile(off[inside], 95) < 2.5
    assert (track.source[inside, :7] == Source.FLOW).mean() > 0.3
    assert said == sorted(said) and said[-1] == 1.0
    z = np.abs(track.xy_px - film.seen_px)[inside, :7] / track.sd_px[inside, :7, None]
    assert np.mean(z < 1.96) > 0.9
    again = refine(followed.observed, clicks)
    assert np.array_equal(again.xy_px, track.xy_px, equal_nan=True)


def test_flow_is_better_than_phase_alone(truth: Truth) -> None:
    film = Film(truth)
    frames = [34 + round(k * 34 / 8) for k in range(8)]
    clicks = clicks_at(truth, frames)
    observed = replace(nothing_observed(truth.time_s), phase=truth.share)
    carried = carry(film, observed, clicks, never, silent)
    by = {
        source: errors(truth, carried.xy_px)[carried.source[:, :7] == source]
        for source in (Source.FLOW, Source.PHASE)
    }
    assert np.median(by[Source.FLOW]) < 0.75 * np.median(by[Source.PHASE])
    assert np.nanmax(np.abs(observed.xy_px[..., 0]), initial=0.0) == 0.0  # what was given is kept


def test_too_few_clicked_moments_are_not_carried(truth: Truth) -> None:
    film = Film(truth)
    observed = replace(nothing_observed(truth.time_s), phase=truth.share)
    assert carry(film, observed, clicks_at(truth, [40, 45, 50]), never, silent) is observed
    assert film.reads == 0


def test_detections_and_a_followed_handle_make_one_track(truth: Truth) -> None:
    part = short(truth, 60)
    film = Film(part)
    clicks = [click(film, 20, "handle"), click(film, 20, "seat")]
    observed = observe(film, (0.0, 99.0), clicks, read_wrongly(part, every=2))
    track = refine(observed, [*clicks, *clicks_at(part, [20, 40])])
    assert film.reads < 70  # one walk, and one look at the clicked frame
    assert np.median(errors(part, track.xy_px)) < 1.3
    for name in ("handle", "seat"):
        off = np.hypot(*(track.of(name) - part.xy_px[:, POINTS.index(name)]).T)
        assert np.nanpercentile(off, 90) < 0.4
    assert (track.sd_px[:, :7] > STATURE * 0.001).all()


def test_what_has_doubles_is_followed_backwards_from_its_click(truth: Truth) -> None:
    """A seat with a second one standing beside the rail, as tall, in every frame."""
    part = short(truth, 60)
    film = Film(part)
    film.wall = 128.0 + 0.4 * (film.wall - 128.0)  # what shows at the patch's corners changes
    seat = POINTS.index("seat")
    side = film.patches[seat].shape[0]

    def doubled(start_s: float, end_s: float) -> Iterator[tuple[float, np.ndarray]]:
        for time_s, image in film(start_s, end_s):
            image[450 : 450 + side, 60 : 60 + side] = film.patches[seat].clip(0, 255)
            yield time_s, image

    observed = observe(doubled, (0.0, 99.0), [click(film, 40, "seat")])
    off = np.hypot(*(observed.xy_px[:, seat] - part.xy_px[:, seat]).T)
    assert np.isfinite(off).mean() > 0.9 and np.nanmax(off) < 1.0


def test_the_work_can_be_stopped_and_needs_frames(truth: Truth) -> None:
    film = Film(short(truth, 20))
    with pytest.raises(FollowingCancelledError):
        follow(film, (0.0, 9.0), [], cancelled=lambda: film.reads > 3)
    assert film.reads < 6
    with pytest.raises(FollowingError, match="no frames"):
        follow(film, (50.0, 60.0), [])


def test_a_click_that_contradicts_the_template_is_believed(truth: Truth) -> None:
    part = short(truth, 60)
    film = Film(part)
    clicks = [click(film, 20, "handle")]
    observed = observe(film, (0.0, 99.0), clicks, read_wrongly(part, every=2))
    other = Click(float(part.time_s[40]), "handle", 400.0, 200.0)
    place = refine(observed, [*clicks, other]).of("handle")
    assert np.hypot(*(place[40] - (400.0, 200.0))) < 1.0
    assert np.hypot(*(place[20] - film.seen_px[20, HANDLE])) < 1.0
