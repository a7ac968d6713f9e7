"""The commands tell sections beside what they told before."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from samples.submission import small_sample
from tests.benchmarks.limits_generator import Rowing, row
from tests.helpers.command_line import answer, run


@pytest.fixture(scope="module")
def ladder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    trace = row(Rowing(plan=((12, 20.0, 0.7), (14, 28.0, 1.0)), spread=0.03), 3)
    path = tmp_path_factory.mktemp("ladder") / "ladder.csv"
    np.savetxt(path, np.column_stack((trace.time_s, trace.force_n)), "%.4f", ",",
               header="time_s,force_N", comments="")  # fmt: skip
    return path


def test_each_section_has_its_own_numbers_and_what_changed(ladder: Path) -> None:
    said = answer("strokes", ladder)
    easy, hard = said["sections"]
    assert (easy["first"], easy["last"], hard["first"], hard["last"]) == (0, 11, 12, 25)
    assert easy["change"] is None
    assert hard["change"]["rate_spm"] == pytest.approx(8.0, abs=0.5)
    rates = [s["summary"]["rate_spm"] for s in (easy, hard, said)]
    assert rates[0]["mean"] == pytest.approx(20.0, abs=0.3)
    assert rates[1]["sd"] < 0.2 * rates[2]["sd"], "the whole mixes two rates"
    assert 12 <= hard["typical"] <= 25
    status, text, _ = run("strokes", ladder)
    assert status == 0 and "Section 2: 14 strokes at 28" in text and "From stroke 13 on" in text


def test_findings_and_comparison_tell_them_too(ladder: Path) -> None:
    told = answer("findings", ladder)
    assert [s["name"] for s in told["sections"]] == [
        s["name"] for s in answer("strokes", ladder)["sections"]
    ]
    assert not {"uneven", "fading"} & {f["code"] for f in told["findings"]}
    compared = answer("compare", ladder, "--left-stroke", 3, "--right-stroke", 20)
    assert compared["left"]["section"]["last"] == 11 and compared["right"]["section"]["first"] == 12
    rate = next(m for m in compared["measures"] if m["name"] == "rate_spm")
    assert rate["verdict"] == "more" and rate["left_count"] == 12
    assert rate["left_sd"] < 1.0, "how strokes vary within their section"


def test_a_steady_recording_is_one_section() -> None:
    (one,) = answer("strokes", small_sample().force)["sections"]
    assert one["first"] == 0 and one["origin"] == "found"
    assert "Section" not in run("strokes", small_sample().force)[1]
