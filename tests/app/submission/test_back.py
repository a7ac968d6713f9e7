"""The trend of the load on the low back: only where force and posture tell enough for it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.body.back_load import Athlete
from analysis.body.back_trend import back_trend
from analysis.body.track import POINTS, BodyTrack
from analysis.body.view import View
from analysis.clocks.alignment import Alignment
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.submission.back import SAID, USUAL_MASS_INDEX, back_seen
from app.submission.body import loaded_body
from app.submission.loaded_film import LoadedFilm
from app.submission.submission import LoadedForce, LoadedSubmission
from tests.helpers.followed import track_of
from tests.helpers.rowed import force_of, rowed

FILM = MediaRef("video", "film.mp4", 1, "00")
FORCE = MediaRef("trace", "force.csv", 1, "01")
LINED_UP = Alignment(method="by hand", uncertainty_s=0.01)
STROKES = 14
PIECE = rowed(strokes=STROKES)
TRACK = track_of(PIECE, 0.003, 0.006, seed=2)


def sent(
    track: BodyTrack | None = TRACK, stature_m: float | None = 1.84,
    alignment: Alignment = LINED_UP, view: View | None = None, force: bool = True,
) -> LoadedSubmission:  # fmt: skip
    state = ReviewState(video=FILM, trace=FORCE if force else None, alignment=alignment)
    forces = (LoadedForce(FORCE, Path("force.csv"), force_of(PIECE)),) if force else ()
    body = None if track is None else loaded_body(FILM, track, stature_m, view)
    return LoadedSubmission(
        state, Path("a.review"), (LoadedFilm(FILM, Path("film.mp4")),), forces, None, body
    )


def crept(track: BodyTrack, far_px: float, degrees: float = 0.0) -> BodyTrack:
    """The same film by a camera that creeps on, which nobody took out."""
    share = np.linspace(0.0, 1.0, len(track.time_s))
    a = np.radians(degrees) * share
    turn = np.stack((np.cos(a), -np.sin(a), np.sin(a), np.cos(a)), 1).reshape(-1, 2, 2)
    middle = np.array((640.0, 360.0))
    xy = np.einsum("tij,tkj->tki", turn, track.xy_px - middle) + middle
    xy[..., 1] -= far_px * share[:, None]
    return replace(track, xy_px=xy)


def test_steady_rowing_has_a_trend_and_no_change() -> None:
    seen = back_seen(sent())
    assert seen.trend is not None and seen.why_not == ""
    assert len(seen.trend.strokes) >= STROKES - 2
    assert not seen.trend.is_sure
    assert any("Pain is a reason to stop" in limit for limit in seen.trend.limits)


@pytest.mark.parametrize("degrees", [0.0, 0.4])
def test_two_centimetres_of_creep_are_no_trend(degrees: float) -> None:
    pixels = 0.02 * _px_a_metre()
    still = back_seen(sent()).trend
    seen = back_seen(sent(crept(TRACK, pixels, degrees))).trend
    assert seen is not None and still is not None
    assert still.change is not None and seen.change is not None
    assert pixels > 2.0, "else this test says nothing"
    assert not seen.is_sure
    assert seen.change.change == pytest.approx(still.change.change, abs=0.01)


def _px_a_metre() -> float:
    thigh = TRACK.of("knee") - TRACK.of("hip")
    return float(np.median(np.hypot(*thigh.T))) / (0.245 * 1.84)


def test_what_is_missing_is_said_in_one_line() -> None:
    hidden = replace(TRACK, xy_px=TRACK.xy_px.copy())
    hidden.xy_px[:, POINTS.index("shoulder")] = np.nan
    yawed = View(yaw_rad=np.radians(25.0), size_px=(1280, 720))
    few = force_of(rowed(strokes=3))
    short = sent()
    short = short.with_recordings(forces=(LoadedForce(FORCE, Path("force.csv"), few),))
    for what, lack in (
        (sent(force=False), "no_force"),
        (sent(track=None), "no_body"),
        (sent(alignment=Alignment()), "not_lined_up"),
        (sent(view=yawed), "off_square"),
        (sent(stature_m=None), "no_stature"),
        (sent(hidden), "few_points"),
        (short, "few_strokes"),
    ):
        seen = back_seen(what)
        assert seen.trend is None and seen.lack == lack
        assert seen.why_not == SAID[seen.lack] and seen.why_not.endswith(".")


def test_the_mass_that_is_taken_for_granted_hardly_matters() -> None:
    """A trunk that leans in more from stroke to stroke, with people of 60 to 110 kg."""
    body = loaded_body(FILM, TRACK, 1.84).series
    deeper = np.radians(np.linspace(0.0, 8.0, len(body.time_s)))
    body = body.with_values({"trunk_lean_rad": body.trunk_lean_rad + deeper})
    changes = []
    for kilograms in (60.0, USUAL_MASS_INDEX * 1.84**2, 110.0):
        trend = back_trend(force_of(PIECE), body, LINED_UP, Athlete(kilograms, 1.84, 0.0))
        assert trend is not None and trend.change is not None
        changes.append(trend.change.change)
    assert changes[0] > 0.02 and np.ptp(changes) < 0.1 * changes[1]
