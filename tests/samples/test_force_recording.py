import csv
import io

import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from samples.faults import SampleError
from samples.force_recording import RecorderOptions, record, write_text
from samples.piece import PieceOptions, simulate_piece

PIECE = simulate_piece(PieceOptions(duration_s=40.0))
QUIET = RecorderOptions(noise=0.0, baseline_n=0.0)


def test_offset_and_drift_follow_the_line_up():
    # Against the one function that turns video time into trace time.
    clock = Alignment(offset_s=3.37, drift_ppm=4000.0)
    recording = record(PIECE, RecorderOptions(500.0, 3.37, 4000.0, 0.0, 0.0), 1)
    for stroke in PIECE.strokes:
        if stroke.catch_s < 4.0:
            continue
        at = clock.trace_time(stroke.catch_s)
        force = np.interp(at, recording.time_s, recording.force_n)
        assert force - PIECE.options.cord_n == pytest.approx(0.05 * stroke.peak_n, abs=1.5)


def test_a_recorder_started_before_the_piece_begins_with_it():
    recording = record(PIECE, RecorderOptions(offset_s=-2.0), 1)
    assert recording.time_s[0] == pytest.approx(2.0)
    assert recording.time_s[-1] == pytest.approx(42.0)


def test_noise_and_dropouts_are_as_asked():
    clean = record(PIECE, QUIET, 3)
    noisy = record(PIECE, RecorderOptions(noise=0.03, baseline_n=0.0), 3)
    peak = PIECE.force_n.max()
    assert np.std(noisy.force_n - clean.force_n) == pytest.approx(0.03 * peak, rel=0.05)
    lossy = record(PIECE, RecorderOptions(dropouts=0.02), 3)
    lost = 1.0 - len(lossy.time_s) / len(clean.time_s)
    assert 0.01 < lost <= 0.0205
    assert (np.diff(lossy.time_s) > 0.0).all()


@pytest.mark.parametrize(("delimiter", "decimal"), [(",", "."), (";", ","), ("\t", ".")])
def test_text_reads_back(delimiter, decimal):
    options = RecorderOptions(delimiter=delimiter, decimal=decimal)
    recording = record(PIECE, options, 2)
    text = write_text(recording, options)
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    assert rows[0] == ["time_s", "force_n", "position_m"]
    values = np.array([[float(v.replace(decimal, ".")) for v in row] for row in rows[1:]])
    assert values[:, 0] == pytest.approx(recording.time_s, abs=6e-5)
    assert values[:, 1] == pytest.approx(recording.force_n, abs=0.051)
    assert values[:, 2] == pytest.approx(recording.position_m, abs=6e-5)


def test_what_cannot_be_recorded_is_named():
    with pytest.raises(SampleError, match="records nothing"):
        record(PIECE, RecorderOptions(offset_s=60.0), 1)
    with pytest.raises(SampleError, match="delimiter"):
        record(PIECE, RecorderOptions(decimal=","), 1)
