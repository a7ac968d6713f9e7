"""Several force files of one piece: joined by their times, or one sentence why not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from analysis.force.intake import read_trace
from analysis.force.joining import ForceFile, join_force
from analysis.force.trace import FloatArray, ForceTrace, TraceError


def force_of(time_s: FloatArray) -> FloatArray:
    return 500.0 * np.clip(np.sin(2.0 * np.pi * time_s / 2.4), 0.0, None) ** 1.5


def written(
    path: Path, time_s: FloatArray, head: str = "time s,force N", scale: float = 1.0
) -> ForceFile:
    values = scale * force_of(time_s)
    rows = [f"{t:.3f},{v:.3f}" for t, v in zip(time_s, values, strict=True)]
    path.write_text("\n".join([head, *rows]) + "\n", "utf-8")
    return ForceFile(path.name, read_trace(path))


def read_again(tmp_path: Path, table: str) -> ForceTrace:
    path = tmp_path / "whole.csv"
    path.write_text(table, "utf-8")
    return read_trace(path)


def test_a_table_cut_in_two_is_one_again_and_the_gap_stays(tmp_path: Path) -> None:
    early, late = np.arange(3.0, 40.0, 0.02), np.arange(43.5, 80.0, 0.02)
    files = [written(tmp_path / "b.csv", late), written(tmp_path / "a.csv", early)]
    joined = join_force(files)
    assert joined.said.startswith("a.csv and b.csv were joined") and "3.52 s" in joined.said
    whole = read_again(tmp_path, joined.table)
    assert whole.time_s == pytest.approx(np.concatenate((early, late)), abs=1e-6)
    assert whole.force_n == pytest.approx(force_of(whole.time_s), abs=1.0)
    assert whole.intake is not None and len(whole.intake.gaps_s) == 1


def test_a_table_cut_between_two_samples_lacks_nothing(tmp_path: Path) -> None:
    parts = [np.arange(3.0, 40.0, 0.02), np.arange(40.0, 60.0, 0.02), np.arange(62.0, 80.0, 0.02)]
    files = [written(tmp_path / f"{i}.csv", part) for i, part in enumerate(parts)]
    assert "between them nothing is missing." in join_force(files[:2]).said
    said = join_force(files).said
    assert "2.02 s was not recorded" in said and "0.02 s and" not in said


def test_what_else_was_recorded_goes_along(tmp_path: Path) -> None:
    files = []
    for name, begin_s in (("a.csv", 1.0), ("b.csv", 41.0)):
        time_s = np.arange(begin_s, begin_s + 40.0, 0.02)
        path, force = tmp_path / name, force_of(time_s)
        rows = [
            f"{t:.3f},{f:.2f},{0.5 + 0.4 * np.sin(t):.4f},{f / 3:.2f}"
            for t, f in zip(time_s, force, strict=True)
        ]
        path.write_text(
            "\n".join(["time s,handle force N,position m,foot force N", *rows]), "utf-8"
        )
        files.append(ForceFile(name, read_trace(path)))
    whole = read_again(tmp_path, join_force(files).table)
    assert whole.position_m is not None and whole.duration_s == pytest.approx(79.98)
    assert len(whole.further) == len(files[0].trace.further)


def test_left_and_right_are_added_up(tmp_path: Path) -> None:
    time_s = np.arange(0.0, 60.0, 0.02)
    left = written(tmp_path / "piece left.csv", time_s, scale=0.6)
    right = written(tmp_path / "piece right.csv", time_s + 0.004, scale=0.4)
    joined = join_force([right, left])
    assert "left and the right hand" in joined.said
    whole = read_again(tmp_path, joined.table)
    assert whole.force_n.max() == pytest.approx(500.0, rel=0.02)


def test_a_copy_is_left_out(tmp_path: Path) -> None:
    time_s = np.arange(0.0, 30.0, 0.02)
    files = [written(tmp_path / name, time_s) for name in ("a.csv", "a (1).csv")]
    joined = join_force(files)
    assert (
        joined.table == "" and joined.said == "a (1).csv holds the same as a.csv and was left out."
    )


@pytest.mark.parametrize(
    ("begin_s", "head", "why"),
    [
        (0.0, "time s,force N", "the same seconds"),
        (40.0, "time s,force kgf", "different columns or units"),
        (9e4, "time s,force N", "two pieces"),
    ],
)
def test_where_nothing_tells_one_sentence_says_what_to_do(
    tmp_path: Path, begin_s: float, head: str, why: str
) -> None:
    first = written(tmp_path / "a.csv", np.arange(0.0, 30.0, 0.02))
    second = written(tmp_path / "b.csv", np.arange(0.0, 25.0, 0.02) + begin_s, head, 0.8)
    with pytest.raises(TraceError, match=why) as refused:
        join_force([first, second])
    assert "give one of them" in str(refused.value) and str(refused.value).count(". ") == 0


EPOCH_S = 1_764_422_886.0


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_parts_that_count_from_a_far_off_date_lie_as_it_tells(
    tmp_path: Path, order: tuple[int, int]
) -> None:
    time_s = [EPOCH_S + np.arange(0.0, 30.0, 0.02), EPOCH_S + np.arange(37.2, 70.0, 0.02)]
    files = [written(tmp_path / f"{i}.csv", time_s[i]) for i in order]
    whole = read_again(tmp_path, join_force(files).table)
    both = np.concatenate(time_s)
    assert whole.time_s == pytest.approx(both - both[0], abs=2e-6)
    assert whole.force_n == pytest.approx(force_of(both), abs=1.0)


def test_hands_that_began_apart_are_added_at_the_same_moments(tmp_path: Path) -> None:
    here = EPOCH_S + np.arange(0.0, 60.0, 0.02)
    files = [
        written(tmp_path / "left.csv", here),
        written(tmp_path / "right.csv", here[:2900] + 1.0),
    ]
    whole = read_again(tmp_path, join_force(files).table)
    both = whole.time_s - whole.time_s[0] + EPOCH_S + 1.0
    assert whole.force_n == pytest.approx(2.0 * force_of(both), abs=2.0)


def test_hands_of_which_one_alone_knows_the_date_are_not_added(tmp_path: Path) -> None:
    here = np.arange(0.0, 60.0, 0.02)
    files = [written(tmp_path / "left.csv", here), written(tmp_path / "right.csv", EPOCH_S + here)]
    with pytest.raises(TraceError, match="nothing was joined"):
        join_force(files)


def test_a_copy_among_the_parts_is_left_out(tmp_path: Path) -> None:
    early, late = np.arange(3.0, 40.0, 0.02), np.arange(43.5, 80.0, 0.02)
    files = [
        written(tmp_path / f"{n}.csv", t) for n, t in zip("abc", (early, early, late), strict=True)
    ]
    joined = join_force(files)
    assert "b.csv holds the same as a.csv and was left out" in joined.said
    assert read_again(tmp_path, joined.table).time_s == pytest.approx(
        np.concatenate((early, late)), abs=1e-6
    )
