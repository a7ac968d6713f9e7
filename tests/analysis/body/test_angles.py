import numpy as np
import pytest

from analysis.body.angles import BodySeries
from analysis.body.strokes import body_strokes
from analysis.signals.curves import curve_set
from analysis.signals.signal import VIDEO


def series(handle: np.ndarray, time_s: np.ndarray) -> BodySeries:
    nothing = np.full_like(time_s, np.nan)
    return BodySeries(time_s, handle, nothing, nothing, nothing, 0.5 * handle, handle, nothing)


def test_gaps_stay_unknown():
    time_s = np.arange(0.0, 2.0, 0.05)
    handle = time_s.copy()
    handle[10:20] = np.nan
    read = series(handle, time_s).at("handle_m", np.array([0.2, 0.6, 1.5, 5.0]))
    np.testing.assert_allclose(read, [0.2, np.nan, 1.5, np.nan])


def test_lengths_must_agree():
    with pytest.raises(ValueError, match="equally long"):
        series(np.zeros(5), np.zeros(6))


@pytest.mark.parametrize("lost", ["handle_m", None])
def test_strokes_from_the_turns(lost):
    time_s = np.arange(0.0, 12.0, 1.0 / 30.0)
    handle = -0.7 * np.cos(2.0 * np.pi * time_s / 2.5)
    if lost:
        body = series(handle, time_s)
        body = BodySeries(**{**body.__dict__, lost: np.full_like(time_s, np.nan)})
    else:
        body = series(handle, time_s)
    strokes = body_strokes(body)
    np.testing.assert_allclose([s.catch_s for s in strokes], [2.5, 5.0, 7.5, 10.0], atol=0.05)
    np.testing.assert_allclose([s.finish_s - s.catch_s for s in strokes], 1.25, atol=0.05)
    assert strokes[0].before_s == pytest.approx(1.25, abs=0.05)
    assert strokes[0].next_catch_s == strokes[1].catch_s and strokes[-1].next_catch_s is None
    assert {(s.source, s.clock) for s in strokes} == {("body", VIDEO)}


def test_the_body_is_laid_over_its_strokes_as_any_signal_is():
    time_s = np.arange(0.0, 16.0, 1.0 / 30.0)
    body = series(-0.7 * np.cos(2.0 * np.pi * time_s / 2.5), time_s)
    assert body.signals.names == ("knee_rad", "seat_m", "handle_m"), "what is known, and no more"
    curves = curve_set(body.signals["handle_m"], body_strokes(body), "phase", "stroke")
    assert curves is not None and curves.unit == "m"
    phase = np.linspace(0.0, 2.0 * np.pi, 101)
    np.testing.assert_allclose(curves.mean, -0.7 * np.cos(phase), atol=0.03)


def test_nobody_moves():
    time_s = np.arange(0.0, 5.0, 0.05)
    assert body_strokes(series(np.zeros_like(time_s), time_s)) == ()
