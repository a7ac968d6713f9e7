"""A region is followed, or said to be lost and then wide enough; never lost in silence."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from app.media.encode import ClipWriter
from app.media.errors import MediaError
from app.media.opencv import opencv
from app.media.regions.follow import Follower, Spot
from app.media.regions.track_region import track_region
from app.media.video import VideoFile

SIZE = (320, 180)
FACE_PX = 40
HEAD = ("nose", "left_eye", "right_eye", "left_ear", "right_ear")


def soft_noise(width: int, height: int, seed: int) -> NDArray[np.uint8]:
    rng = np.random.default_rng(seed)
    small = rng.integers(30, 220, (max(2, height // 8), max(2, width // 8)), dtype=np.uint8)
    return np.asarray(opencv().resize(small, (width, height)), np.uint8)


BACK, FACE = soft_noise(*SIZE, 1), soft_noise(FACE_PX, FACE_PX, 2)


def middle(i: int) -> tuple[float, float]:
    """Where the face is: to and fro as in rowing at 24 strokes a minute and 25 frames a second."""
    return 160.0 + 80.0 * np.sin(2 * np.pi * i / 62.5), 80.0 + 8.0 * np.cos(2 * np.pi * i / 62.5)


def picture(i: int, covered: bool = False) -> NDArray[np.uint8]:
    image = BACK.copy()
    x, y = (round(v - FACE_PX / 2) for v in middle(i))
    image[y : y + FACE_PX, x : x + FACE_PX] = FACE
    if covered:
        image[y - 20 : y + 60, x - 20 : x + 60] = 128
    return image


def is_inside(spot: Spot, i: int) -> bool:
    """Whether the middle half of the face lies in the region."""
    x, y = middle(i)
    half_w, half_h = 0.5 * spot.w_px + spot.reach_px, 0.5 * spot.h_px + spot.reach_px
    return abs(x - spot.x_px) <= half_w - 10 and abs(y - spot.y_px) <= half_h - 10


def followed(frames: list[NDArray[np.uint8]]) -> list[Spot]:
    start = Spot(*middle(0), FACE_PX, FACE_PX)
    follower = Follower(frames[0], start)
    spots = [start]
    for k in range(1, len(frames), 45):
        spots += follower.through(frames[k : k + 45])
    return spots


def test_a_face_that_moves_as_in_rowing_is_followed() -> None:
    spots = followed([picture(i) for i in range(130)])
    assert all(spot.sure for spot in spots)
    off = [np.hypot(s.x_px - middle(i)[0], s.y_px - middle(i)[1]) for i, s in enumerate(spots)]
    assert max(off) < 3.0


def test_a_covered_face_is_said_to_be_lost_kept_inside_and_found_again() -> None:
    covered = range(40, 60)
    spots = followed([picture(i, i in covered) for i in range(130)])
    assert all(is_inside(spot, i) for i, spot in enumerate(spots))
    assert not any(spots[i].sure for i in range(42, 60))
    assert all(spot.sure for spot in spots[75:])
    assert spots[59].reach_px > spots[45].reach_px > 0, "it grows while it is lost"


def test_a_face_that_leaves_for_good_makes_the_region_cover_the_picture() -> None:
    frames = [picture(i) for i in range(30)] + [BACK] * 120
    last = followed(frames)[-1]
    assert not last.sure
    assert last.reach_px >= SIZE[0] / 2


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("follow") / "film.mp4"
    with ClipWriter(path, *SIZE) as clip:
        for i in range(110):
            clip.add(np.repeat(picture(i, 50 <= i < 58)[..., None], 3, axis=2), i / 25)
        clip.finish(110 / 25)
    return path


def test_it_is_followed_both_ways_from_where_a_hand_put_it(film: Path) -> None:
    with VideoFile.open(film) as video:
        spots = track_region(video, {30: Spot(*middle(30), FACE_PX, FACE_PX)}, 0, 109)
    assert len(spots) == 110
    assert all(is_inside(spot, i) for i, spot in enumerate(spots))
    assert all(spot.sure for spot in spots[:48])
    lost = [i for i, spot in enumerate(spots) if not spot.sure]
    assert lost and min(lost) >= 48


def test_between_two_hands_the_ways_have_to_agree(film: Path) -> None:
    hand = {i: Spot(*middle(i), FACE_PX, FACE_PX) for i in (5, 45)}
    with VideoFile.open(film) as video:
        good = track_region(video, hand, 5, 45)
        wrong = hand | {45: Spot(30.0, 150.0, FACE_PX, FACE_PX)}  # a piece of the wall
        bad = track_region(video, wrong, 5, 45)
    assert all(spot.sure and is_inside(spot, i) for i, spot in enumerate(good, start=5))
    assert not any(spot.sure for spot in bad[15:30]), "two hands that contradict are not believed"


def test_it_can_be_watched_and_stopped(film: Path) -> None:
    shares: list[float] = []
    hand = {0: Spot(*middle(0), FACE_PX, FACE_PX)}
    with VideoFile.open(film) as video:
        track_region(video, hand, 0, 60, shares.append)
        with pytest.raises(MediaError, match="stopped"):
            track_region(video, hand, 0, 60, cancelled=lambda: True)
    assert shares == sorted(shares) and 0 < shares[0] < shares[-1] <= 1.0


def test_published_heads_stay_inside_on_a_real_person(
    shared_media: Path,
) -> None:
    """Heads published for every frame of a recording this project did not make."""
    said = json.loads((shared_media / "people/pose_1.mp4__pose_1.json").read_text("utf-8"))
    heads = np.array([[[f[k]["x"], f[k]["y"]] for k in HEAD] for f in said])
    x, y = heads[0].mean(axis=0)
    wide = 1.7 * np.ptp(heads[0][:, 0])
    with VideoFile.open(shared_media / "people/pose_1.mp4") as video:
        spots = track_region(video, {0: Spot(x, y, wide, 1.3 * wide)}, 0, len(video.index) - 1)
    inside = [
        bool((np.abs(h[:, 0] - s.x_px) <= s.w_px / 2 + s.reach_px).all()
             and (np.abs(h[:, 1] - s.y_px) <= s.h_px / 2 + s.reach_px).all())
        for s, h in zip(spots, heads, strict=True)
    ]  # fmt: skip
    assert all(inside)
    assert np.mean([s.sure for s in spots]) > 0.95


def test_any_footage_can_be_followed(
    clip: Callable[[str], Path],
) -> None:
    """Turned, uneven or damaged at the start: the spots are one a frame, in upright pixels."""
    for name in ("rot90", "h264_vfr", "ts"):
        with VideoFile.open(clip(name)) as video:
            spots = track_region(video, {3: Spot(160, 90, 40, 40)}, 0, 20)
            assert len(spots) == 21
            assert (spots[3].x_px, spots[3].y_px, spots[3].w_px, spots[3].sure) == (
                160,
                90,
                40,
                True,
            )
