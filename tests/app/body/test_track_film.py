"""The whole way from a film to points a review keeps, with the networks where they are here."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from analysis.body.detecting.network import ModelFiles
from analysis.body.track import POINTS
from app.body import joining
from app.body.errors import NotSetUpError
from app.body.track_film import followed_film, track_of_film
from app.media.encode import cut_clip
from app.review.parts.body import SetBody
from app.review.parts.body_readings import readings_of
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.submission.body import body_of
from samples.submission import small_sample

START_S, END_S = 2.0, 4.5


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A stroke of the sample's film."""
    out = tmp_path_factory.mktemp("clip") / "stroke.mp4"
    cut_clip(small_sample().footage, START_S, END_S, out)
    return out


def test_a_film_is_followed_kept_and_found_again(
    model_files: ModelFiles, clip: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.body_models.weights.find_models", lambda: model_files)
    shares: list[float] = []
    found = followed_film(clip, (), None, shares.append)
    assert shares == sorted(shares) and 0.0 <= shares[0] <= shares[-1] <= 1.0
    ref = MediaRef("video", clip.name, 1, "00")
    state = SetBody(readings_of(found.observed)).apply(ReviewState(video=ref))
    kept = body_of(state)
    assert kept is not None
    truth = json.loads(small_sample().truth.read_text("utf-8"))["frames"]
    rows = np.searchsorted(truth["time_s"], START_S + kept.track.time_s - 1e-3)
    for name in ("knee", "hip", "shoulder", "wrist"):
        k, true = POINTS.index(name), np.array(truth["points_px"][name])[rows]
        again = np.linalg.norm(kept.track.xy_px[:, k] - found.track.xy_px[:, k], axis=1)
        assert np.nanmedian(again) < 0.1, "keeping rounds, and no more"
        off = np.linalg.norm(kept.track.xy_px[:, k] - true, axis=1)
        assert np.nanmedian(off) < 25.0, name  # px; the athlete is some 500 px tall


def test_stopping_is_one_sentence(
    model_files: ModelFiles, clip: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.body_models.weights.find_models", lambda: model_files)
    asked: list[None] = []

    def after_a_while() -> bool:
        asked.append(None)
        return len(asked) > 6

    with pytest.raises(ValueError, match=r"\.$"):
        track_of_film(clip, (), after_a_while)


def test_without_the_networks_it_says_what_to_do(
    clip: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.body_models.weights.find_models", lambda: None)
    with pytest.raises(NotSetUpError, match="is not set up"):
        joining.follower()
