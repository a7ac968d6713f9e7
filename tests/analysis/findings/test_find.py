import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from analysis.body.angles import SIGNALS, BodySeries
from analysis.clocks.alignment import Alignment
from analysis.findings.find import find
from analysis.findings.thresholds import Thresholds
from analysis.force.piece import analyse
from analysis.force.trace import ForceTrace
from samples.faults import BODY_FAULTS, FORCE_FAULTS
from tests.helpers.curves import shape
from tests.helpers.rowed import body_of, force_of, rowed

KEYS = {"code", "title", "phase", "strokes", "share", "severity", "evidence", "where"}


def faults_of(found) -> set[str]:
    return {f.code for f in found if not f.good}


@pytest.mark.parametrize("fault", FORCE_FAULTS)
def test_a_fault_of_the_force_is_found(fault):
    piece = force_of(rowed(fault, strokes=16))
    finding = next(f for f in find(piece) if f.code == fault)
    assert finding.severity > 0.1
    assert finding.share_low <= finding.share <= finding.share_high
    assert finding.where.video_s is None and finding.where.trace_s is not None
    assert finding.rank_reason.startswith("Place")


@pytest.mark.parametrize("fault", BODY_FAULTS)
def test_a_fault_of_the_body_is_found_without_force(fault):
    found = find(None, None, body_of(rowed(fault)))
    finding = next(f for f in found if f.code == fault)
    assert finding.where.trace_s is None and finding.where.video_s is not None
    assert finding.share > 0.9


def test_sound_rowing_has_good_signs_only():
    piece = rowed(strokes=16)
    found = find(force_of(piece), Alignment(), body_of(piece))
    assert {f.code for f in found} == {"soft-catch", "long-plateau", "steady-hands"}
    assert all(f.good and not f.lead for f in found)


@pytest.mark.parametrize(
    ("name", "must", "may"),
    [
        ("triangle", {"peaky"}, set()),
        ("half sine", set(), set()),
        ("parabola", set(), set()),
        ("trapezoid", set(), set()),
        ("block", {"hard-catch"}, set()),
    ],
)
def test_ideal_shapes(name, must, may):
    # Mean over peak, exact: triangle 0.5, half sine 0.637, parabola 0.667, trapezoid with 40 %
    # flat 0.7, block 1.
    time_s = np.arange(0.0, 26.0, 0.01)
    phase = np.mod(time_s - 1.0, 2.5) / 0.9
    rowing = (time_s >= 1.0) & (phase <= 1.0)
    force_n = np.where(rowing, 600.0 * shape(name, np.clip(phase, 0.0, 1.0)), 0.0)
    found = find(analyse(ForceTrace(time_s, force_n)))
    assert must <= faults_of(found) <= must | may
    if name in ("trapezoid", "block"):
        wide = {f.code for f in found}
        assert ("long-plateau" in wide) == (name == "trapezoid")


def test_json_keeps_the_contract():
    piece = rowed("give")
    found = find(force_of(piece), Alignment(offset_s=1.5), body_of(piece, 1.5))
    for finding in found:
        plain = json.loads(json.dumps(finding.as_dict(), allow_nan=False))
        assert set(plain) >= KEYS
        assert set(plain["where"]) == {"video_s", "trace_s"}


def test_looks_at_the_right_moment_on_both_clocks():
    piece = rowed("give")
    line = Alignment(offset_s=3.25, drift_ppm=120.0)
    analysed = force_of(piece)
    found = {f.code: f for f in find(analysed, line, body_of(piece, 3.25))}
    give, rounds = found["give"], found["back-rounds"]
    assert give.where.video_s == pytest.approx(line.video_time(give.where.trace_s))
    stroke = analysed.strokes[give.evidence.stroke]
    place = 100.0 * (give.where.trace_s - stroke.catch_s) / (stroke.finish_s - stroke.catch_s)
    # The simulated body yields at a quarter of the pull, a third of the drive's time.
    assert 24.0 < place < 38.0
    assert give.evidence.percent_from < place < give.evidence.percent_to
    body = analysed.strokes[rounds.evidence.stroke]
    assert body.catch_s < rounds.where.trace_s < body.finish_s
    assert rounds.explained_by == ()
    assert give.explained_by == ("back-rounds",)


def test_the_lost_impulse_of_a_give_is_the_hole_it_leaves():
    # A hole of known area in a trapezoid: 600 N * 0.4 deep, a triangle of 20 % of 0.9 s.
    time_s = np.arange(0.0, 27.0, 0.002)
    phase = np.clip(np.mod(time_s - 1.0, 2.5) / 0.9, 0.0, 1.0)
    curve = np.interp(phase, [0, 0.2, 0.3, 0.4, 0.65, 1.0], [0, 1.0, 0.6, 1.0, 1.0, 0.0])
    found = {f.code: f for f in find(analyse(ForceTrace(time_s, 600.0 * curve)))}
    assert found["give"].evidence.value == pytest.approx(40.0, abs=5.0)  # smoothing fills a little
    assert found["give"].effect.size == pytest.approx(0.5 * 0.4 * 600.0 * 0.2 * 0.9, rel=0.15)
    assert found["give"].effect.unit == "N s"


def test_few_strokes_are_said():
    found = find(force_of(rowed("give", strokes=4)))
    assert found and all("fewer than 5" in " ".join(f.remarks) for f in found)


def test_fading_does_not_come_from_four_strokes():
    assert "fading" not in faults_of(find(force_of(rowed("fading", strokes=4))))


def test_noise_is_said():
    found = find(force_of(rowed("give"), noise=0.03))
    assert any("neighbours" in " ".join(f.remarks) for f in found)


def test_a_changed_threshold_counts():
    piece = force_of(rowed("give"))
    blind = Thresholds().with_changes({"give.depth": 90.0})
    assert "give" in faults_of(find(piece))
    assert "give" not in faults_of(find(piece, thresholds=blind))


def test_two_or_three_lead_and_good_signs_stand_last():
    piece = rowed("early-loss")
    found = find(force_of(piece), Alignment(), body_of(piece))
    assert sum(f.lead for f in found) <= 3
    order = [f.good for f in found]
    assert order == sorted(order)


def test_rushed_recovery_is_seen_in_the_picture_where_the_handle_is_not_recorded():
    piece = rowed("rushed-recovery")
    blind = force_of(piece, position=False)
    assert "rushed-recovery" not in faults_of(find(blind))
    assert "rushed-recovery" in faults_of(find(blind, Alignment(), body_of(piece)))


@pytest.mark.parametrize(("drive_s", "rushed"), [(1.1, True), (0.8, False)])
def test_a_very_short_recovery_is_told_from_times_alone(drive_s, rushed):
    # At 40 a minute trained rowers take some 0.75 s for the drive and as much for the recovery.
    time_s = np.arange(0.0, 30.0, 0.01)
    phase = np.mod(time_s - 1.0, 1.5) / drive_s
    force_n = np.where(phase < 1.0, 600.0 * np.sin(np.pi * np.minimum(phase, 1.0)), 0.0)
    found = faults_of(find(analyse(ForceTrace(time_s, force_n))))
    assert ("rushed-recovery" in found) is rushed


def test_picture_and_force_that_never_meet():
    piece = rowed("early-arms")
    found = {f.code: f for f in find(force_of(piece), Alignment(), body_of(piece, 900.0))}
    assert found["early-arms"].where.trace_s is None
    assert "line them up" in " ".join(found["early-arms"].remarks)


def test_nothing_to_look_at():
    quiet = analyse(ForceTrace(np.arange(0.0, 5.0, 0.01), np.full(500, 2.0)))
    assert find(quiet) == ()
    assert find(None) == ()


def test_a_body_half_unknown_is_no_error():
    piece = rowed("early-arms")
    body = body_of(piece)
    blind = replace(body, **{n: np.full_like(body.time_s, np.nan) for n in ("seat_m", "knee_rad")})
    assert "early-arms" not in faults_of(find(None, None, blind))


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    hnp.arrays(np.float64, st.integers(2, 900), elements=st.floats(-200.0, 2000.0)),
    st.sampled_from([0.005, 0.02]),
)
def test_any_force_gives_an_answer(force_n, step):
    trace = ForceTrace(np.arange(len(force_n)) * step, force_n)
    for finding in find(analyse(trace)):
        json.dumps(finding.as_dict(), allow_nan=False)
        assert 0.0 <= finding.severity <= 1.0
        assert 0.0 < finding.share <= 1.0


@settings(max_examples=25, deadline=None)
@given(hnp.arrays(np.float64, (7, 120), elements=st.floats(-3.0, 3.0) | st.just(np.nan)))
def test_any_body_gives_an_answer(values):
    body = BodySeries(np.arange(120) / 30.0, **dict(zip(SIGNALS, values, strict=True)))
    for finding in find(None, None, body):
        json.dumps(finding.as_dict(), allow_nan=False)
