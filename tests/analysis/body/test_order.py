"""Legs, trunk, arms: when each moves, and what it adds to the handle's way."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.body.angles import BodySeries
from analysis.body.from_track import see_body
from analysis.body.order import Order, order_of
from analysis.body.strokes import body_strokes
from analysis.signals.signal import VIDEO
from analysis.signals.stroke import Stroke
from tests.helpers.followed import track_of
from tests.helpers.rowed import rowed


def order(fault: str = "", noise: float = 0.0, bias: float = 0.0, seed: int = 0) -> Order:
    body = see_body(track_of(rowed(fault), noise, bias, seed=seed), stature_m=1.84).series
    found = order_of(body, body_strokes(body))
    assert found is not None
    return found


def by_hand() -> BodySeries:
    """A drive of one second: 60 cm of legs, then 40 of trunk, then 30 of arms, at even speed."""
    time_s = np.arange(-0.5, 1.5, 0.01)
    legs = 0.6 * np.clip(time_s / 0.5, 0.0, 1.0)
    trunk = 0.4 * np.clip((time_s - 0.4) / 0.4, 0.0, 1.0)
    arms = 0.3 * np.clip((time_s - 0.7) / 0.3, 0.0, 1.0)
    nothing = np.full_like(time_s, np.nan)
    handle = legs + trunk + arms
    more = {"shoulder_m": legs + trunk, "hip_m": legs}
    return BodySeries(time_s, *(nothing,) * 4, legs, handle, nothing, more)


def test_a_drive_made_by_hand() -> None:
    found = order_of(by_hand(), [Stroke(0, 0.0, 1.0, source="body", clock=VIDEO)])
    assert found is not None and found.strokes == 1
    for name, way, begin, end in (
        ("legs", 60, 0, 50),
        ("trunk", 40, 40, 80),
        ("arms", 30, 70, 100),
    ):
        part = found.part(name)
        assert part.share.middle == pytest.approx(100.0 * way / 130.0, abs=1.0)
        assert part.start is not None and part.end is not None
        long = end - begin
        assert part.start.middle == pytest.approx(begin + 0.15 * long, abs=2.0)
        assert part.end.middle == pytest.approx(end - 0.15 * long, abs=2.0)


def test_sound_rowing_goes_legs_trunk_arms() -> None:
    found = order()
    starts = [part.start.middle for part in found.parts if part.start is not None]
    assert starts == sorted(starts) and len(starts) == 3
    assert sum(part.share.middle for part in found.parts) == pytest.approx(100.0, abs=1.0)
    for part in found.parts:
        assert part.start is not None and part.start.low <= part.start.middle <= part.start.high


@pytest.mark.parametrize(
    ("fault", "name", "least"), [("early-arms", "arms", 15.0), ("early-trunk", "trunk", 10.0)]
)
def test_what_comes_early_begins_early(fault, name, least) -> None:
    sound, early = order().part(name).start, order(fault).part(name).start
    assert sound is not None and early is not None
    assert early.middle < sound.middle - least


def test_an_error_of_points_moves_shares_no_more_than_is_said() -> None:
    off, said = [], 0.0
    truth = order()
    for seed in range(6):
        seen = order(noise=0.003, bias=0.012, seed=seed)
        off += [a.share.middle - b.share.middle
                for a, b in zip(seen.parts, truth.parts, strict=True)]  # fmt: skip
        assert seen.share_sd is not None
        said = seen.share_sd
    assert 0.2 * said < np.sqrt(np.mean(np.square(off))) < 1.5 * said


def test_unknown_shoulders_give_no_order() -> None:
    body = see_body(track_of(rowed())).series
    blind = body.with_values({"shoulder_m": np.full(len(body.time_s), np.nan)})
    assert order_of(blind, body_strokes(blind)) is None
