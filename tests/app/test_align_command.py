"""`strokeside align`: footage and force lined up without a window."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from analysis.clocks.alignment import AlignmentError
from app.submission.lining_up import search
from app.submission.pieces import piece_of
from app.submission.together import judge_films
from samples.submission import small_sample
from tests.helpers.command_line import answer, refused, run
from tests.helpers.rhythms import write_other_piece

pytestmark = pytest.mark.usefixtures("sample_measured_once")


@pytest.fixture(scope="module")
def found() -> dict:
    sample = small_sample()
    return answer("align", sample.footage, sample.force)


def test_the_sample_is_lined_up_where_it_was_filmed(found: dict) -> None:
    clocks = json.loads(small_sample().truth.read_text("utf-8"))["clocks"]
    assert abs(found["offset_s"] - clocks["offset_s"]) <= 1 / 60  # half a frame
    assert abs(found["offset_s"] - clocks["offset_s"]) <= found["uncertainty_s"]
    assert abs(found["drift_ppm"]) < 300.0
    assert found["method"] == "by picture and sound"
    assert found["slow_motion"] == 1.0


def test_candidates_start_with_the_answer_and_share_one_belief(found: dict) -> None:
    first, *others = found["candidates"]
    assert (first["offset_s"], first["drift_ppm"]) == (found["offset_s"], found["drift_ppm"])
    assert first["uncertainty_s"] == found["uncertainty_s"]
    shares = [c["likelihood"] for c in found["candidates"]]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1.0, abs=0.02)
    # To step to: the strokes to both sides of the answer.
    steps = [c["offset_s"] - first["offset_s"] for c in others]
    assert min(steps) < 0.0 < max(steps)


def test_a_reader_is_told_how_sure_it_is() -> None:
    sample = small_sample()
    status, out, err = run("align", sample.footage, sample.force)
    assert (status, err) == (0, "")
    assert "±" in out and "picture and sound" in out and "strokes" in out


def test_it_says_how_far_it_can_be_believed(found: dict) -> None:
    assert found["verdict"] == "lined up" and found["ambiguous"] is False
    assert 0.0 < found["none"] < 0.05


def test_another_piece_is_one_sentence(tmp_path: Path) -> None:
    force = write_other_piece(tmp_path / "other.csv")
    said = refused("align", small_sample().footage, force)
    assert "do not keep step" in said and "another piece" in said


def test_too_few_strokes_are_refused_before_a_frame_is_decoded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sample = small_sample()

    def decoded(*_given: object) -> None:
        raise AssertionError("a film was decoded that nothing can be laid under")

    monkeypatch.setattr("app.submission.lining_up.grey_frames", decoded)
    monkeypatch.setattr("app.submission.lining_up.read_sound", decoded)
    monkeypatch.setattr("app.submission.laying.footage_signals", decoded)
    force = tmp_path / "one_pull.csv"
    rows = ["time_s,force_n"]
    rows += [f"{i / 100:.2f},{500 if 200 < i < 280 else 10}" for i in range(1000)]
    force.write_text("\n".join(rows) + "\n", "utf-8")
    said = refused("align", sample.footage, force)
    assert "fewer than two strokes" in said and "mark the same catch" in said
    judged = judge_films([sample.footage], piece_of(force))
    assert judged.found is None and "fewer than two strokes" in judged.why_not
    piece = piece_of(force)
    with pytest.raises(AlignmentError, match="fewer than two strokes"):
        search(sample.footage, piece.trace, piece.strokes, 1.0, None, (), lambda *_said: None)


def test_a_trace_that_is_footage_is_refused(tmp_path: Path) -> None:
    sample = small_sample()
    copy = tmp_path / "film.mp4"
    shutil.copy(sample.footage, copy)
    refused("align", sample.footage, copy)


def test_a_wrong_call_says_so() -> None:
    sample = small_sample()
    for argv in (
        ["align", sample.footage],
        ["align", sample.footage, sample.force, "--slow-motion", "0"],
    ):
        status, _, err = run(*argv)
        assert status == 2 and "usage" in err
