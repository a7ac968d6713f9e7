from __future__ import annotations

from pathlib import Path

import pytest

from samples.submission import reference_sample, small_sample
from tests.helpers.command_line import answer, refused, run


def test_two_recordings_are_compared_by_their_means() -> None:
    left, right = small_sample().force, reference_sample()[1]
    said = answer("compare", left, right)
    rows = {row["name"]: row for row in said["measures"]}
    assert rows["plateau_pct"]["verdict"] == "more" and rows["plateau_pct"]["basis"] == "means"
    low, high = rows["plateau_pct"]["interval"]
    assert low < rows["plateau_pct"]["difference"] < high
    assert rows["rate_spm"]["right"] == pytest.approx(20.0, abs=0.5)
    at = said["farthest_apart"]["percent"]
    assert 0.0 <= at["at"] <= 100.0 and at["difference_n"] != 0.0


def test_two_strokes_of_one_recording() -> None:
    trace = small_sample().force
    said = answer("compare", trace, "--left-stroke", 1, "--right-stroke", 3)
    strokes = answer("strokes", trace)["strokes"]
    peak = next(row for row in said["measures"] if row["name"] == "peak_n")
    assert (said["left"]["stroke"], said["right"]["stroke"]) == (1, 3)
    assert peak["left"] == pytest.approx(strokes[1]["measures"]["peak_n"])
    assert peak["right"] == pytest.approx(strokes[3]["measures"]["peak_n"])
    status, text, _ = run("compare", trace, "--left-stroke", 1, "--right-stroke", 3)
    assert status == 0 and "verdict" in text and "too few strokes to tell" not in text


def test_two_strokes_of_few_are_not_told_apart(tmp_path: Path) -> None:
    head, *rows = small_sample().force.read_text("utf-8").splitlines(keepends=True)
    short = tmp_path / "short.csv"
    short.write_text(
        head + "".join(row for row in rows if float(row.split(",")[0]) < 16.0), "utf-8"
    )
    assert 4 <= len(answer("strokes", short)["strokes"]) <= 6  # less than five beside these two
    status, text, _ = run("compare", short, "--left-stroke", 1, "--right-stroke", 3)
    assert status == 0 and "verdict" in text and "too few strokes to tell" in text


def test_what_cannot_be_compared_is_said(tmp_path: Path) -> None:
    trace = small_sample().force
    assert "same stroke" in refused("compare", trace)
    assert "no stroke 99" in refused("compare", trace, "--left-stroke", 99)
    flat = tmp_path / "flat.csv"
    flat.write_text("time_s,force_N\n" + "".join(f"{i / 100},{5 + i % 2}\n" for i in range(900)))
    assert "No whole stroke" in refused("compare", trace, flat)
