"""What the film shows of the body as signals, and strokes of a film alone as those of a force."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from analysis.force.trace import FORCE
from analysis.signals.signal import TRACE, VIDEO
from app.review.parts.media import MediaRef
from app.review.parts.sections import new_section
from app.review.parts.state import ReviewState
from app.submission.body import LoadedBody, loaded_body
from app.submission.resolving import rowed_stroke, stroke_ref
from app.submission.rowed_stroke import pair_of
from app.submission.sections import as_begins
from app.submission.shown_signals import choosable, shown
from app.submission.submission import LoadedForce, LoadedSubmission
from tests.helpers.followed import track_of
from tests.helpers.rowed import force_of, rowed

FILM = MediaRef("video", "film.mp4", 1, "0" * 64)
FORCE_FILE = MediaRef("trace", "force.csv", 1, "1" * 64)


@pytest.fixture(scope="module")
def body() -> LoadedBody:
    track = track_of(rowed(), 0.002)
    xy = track.xy_px.copy()
    xy[100:160] = np.nan  # two seconds in which nobody was seen
    return loaded_body(FILM, replace(track, xy_px=xy), 1.84)


def alone(body: LoadedBody | None, state: ReviewState | None = None) -> LoadedSubmission:
    return LoadedSubmission(state or ReviewState(video=FILM), Path(), body=body)


def with_force(body: LoadedBody, alignment: Alignment) -> LoadedSubmission:
    force = LoadedForce(FORCE_FILE, Path("force.csv"), force_of(rowed()))
    state = ReviewState(video=FILM, trace=FORCE_FILE, alignment=alignment)
    return LoadedSubmission(state, Path(), forces=(force,), body=body)


def test_angles_are_signals_in_degrees_with_doubt_and_open_gaps(body: LoadedBody) -> None:
    signals = alone(body).signals
    assert {"picture-knee", "picture-hip", "picture-elbow", "picture-shank"} < set(signals.names)
    assert {"picture-trunk-lean", "picture-seat", "picture-handle-speed"} < set(signals.names)
    knee = signals["picture-knee"]
    assert knee.unit == "°" and knee.clock == VIDEO
    at_s = np.array([2.0, 4.3])
    seen = body.series.at("knee_rad", at_s)
    assert knee.at(at_s)[0] == pytest.approx(np.degrees(seen[0]))
    assert np.isnan(knee.at(at_s)[1]), "the gap stays open"
    assert knee.doubt is not None
    assert 0.0 < knee.doubt.at(at_s)[0] < 20.0


def test_beside_a_force_they_stand_on_its_clock_once_lined_up(body: LoadedBody) -> None:
    late = Alignment(3.0, 0.0, 0.01, "by hand")
    sent = with_force(body, late)
    knee = sent.signals["picture-knee"]
    assert knee.clock == TRACE and sent.signals.names[0] == FORCE
    film_s = 7.5
    own = alone(body).signals["picture-knee"].at(np.array([film_s]))
    assert knee.at(np.array([late.trace_time(film_s)])) == pytest.approx(own)
    loose = with_force(body, Alignment())
    assert "picture-knee" not in loose.signals
    # Placed after the file's own signals, whose dashes stay what they were.
    before = [s.name for s in choosable(loose)]
    assert [s.name for s in choosable(sent)][: len(before)] == before


def test_they_are_shown_by_tick_and_a_film_alone_is_never_bare(body: LoadedBody) -> None:
    assert [s.name for s in shown(alone(body))] == ["picture-handle-speed"]
    ticked = ReviewState(video=FILM, shown_signals=("picture-knee", "gone"))
    assert [s.name for s in shown(alone(body, ticked))] == ["picture-knee"]
    assert shown(with_force(body, Alignment(method="by hand"))) == ()


def test_a_film_alone_has_sections_typical_and_odd_strokes() -> None:
    track = track_of(rowed(strokes=14), 0.001)
    body = loaded_body(FILM, track, 1.84)
    sent = alone(body)
    assert [s.count for s in sent.sections] == [sum(not s.remark for s in sent.strokes)]
    assert sent.main is not None and sent.main.typical in sent.strokes
    assert not sent.outlying
    drive = sent.strokes[5]
    late = track.xy_px.copy()
    k = track.xy_px.shape[1]
    inside = (track.time_s > drive.catch_s) & (track.time_s < drive.finish_s)
    at = np.linspace(0.0, 1.0, int(inside.sum()))
    late[inside] = np.stack(
        [np.interp(at**2.5, at, track.xy_px[inside, j, c]) for j in range(k) for c in (0, 1)],
        axis=1,
    ).reshape(-1, k, 2)
    odd = alone(loaded_body(FILM, replace(track, xy_px=late), 1.84))
    assert odd.outlying == {5}


def test_sections_of_the_coach_count_on_the_clock_of_the_film(body: LoadedBody) -> None:
    strokes = alone(body).strokes
    begins = (new_section(0.0, clock=VIDEO), new_section(strokes[4].catch_s - 0.1, "hard", VIDEO))
    sent = alone(body, ReviewState(video=FILM, sections=begins))
    assert [(s.first, s.name) for s in sent.sections][1] == (4, "hard")
    assert {b.clock for b in as_begins(body.piece, sent.sections)} == {VIDEO}
    assert next(s.index for s in sent.by_section[1].strokes) == 4


def test_two_strokes_of_a_film_are_compared_by_what_leads(body: LoadedBody) -> None:
    sent = alone(body)
    refs = [stroke_ref(sent.strokes[i], sent.state) for i in (1, 5)]
    assert not any(ref.on_force for ref in refs)
    one, other = (rowed_stroke(ref, sent) for ref in refs)
    assert one is not None and other is not None
    assert (one.stroke.index, other.stroke.index) == (1, 5)
    pair = pair_of(one, other, "percent")
    assert pair is not None and not pair.is_force and pair.unit == "m/s"
    force = with_force(body, Alignment(method="by hand"))
    third = rowed_stroke(stroke_ref(force.strokes[5], force.state), force)
    assert third is not None
    mixed = pair_of(one, third, "time")
    assert mixed is not None and mixed.signal == "picture-handle-speed"
    both = pair_of(third, third, "time")
    assert both is not None and both.is_force
