"""The columns of an unknown table, as small curves."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

from analysis.force.column_curves import MOST_CURVES
from analysis.force.intake import preview


def _written(path: Path, header: str, rows: list[str]) -> Path:
    path.write_text("\n".join([header, *rows]) + "\n", "utf-8")
    return path


def test_each_column_of_numbers_has_a_curve_and_words_have_none(tmp_path: Path) -> None:
    rows = [f"{i / 100:.2f};left;{300 * math.sin(i / 9):.1f}" for i in range(200)]
    looked = preview(_written(tmp_path / "a.csv", "a;side;b", rows))
    first, second = looked.curves
    assert (first.column, second.column) == (0, 2)
    assert first.values == tuple(i / 100 for i in range(200))
    assert second.values[9] == round(300 * math.sin(1.0), 1)


def test_no_peak_is_lost_where_rows_are_many(tmp_path: Path) -> None:
    rows = [f"{i};{987.5 if i == 1234 else -1.5 if i == 777 else 10}" for i in range(3000)]
    curve = preview(_written(tmp_path / "a.csv", "a;b", rows)).curves[1]
    assert len(curve.values) < 500
    assert (curve.least, curve.greatest) == (-1.5, 987.5)
    assert curve.values.index(-1.5) < curve.values.index(987.5), "in the order of the rows"


def test_what_is_known_is_not_drawn_and_a_table_may_be_wide(tmp_path: Path) -> None:
    known = _written(
        tmp_path / "k.csv", "time_s,force_n", [f"{i / 100},{i % 7}" for i in range(50)]
    )
    assert preview(known).mapping is not None and preview(known).curves == ()
    header = ";".join(f"c{i}" for i in range(300))
    wide = _written(tmp_path / "w.csv", header, [";".join([str(i)] * 300) for i in range(40)])
    assert len(preview(wide).curves) == MOST_CURVES


def test_cells_without_a_number_leave_no_hole_and_an_empty_column_no_curve(tmp_path: Path) -> None:
    rows = [f"{i};{'' if i % 3 else i};" for i in range(60)]
    looked = preview(_written(tmp_path / "a.csv", "a;b;c", rows))
    for curve in looked.curves:
        assert curve.values and all(map(math.isfinite, curve.values))
    assert 2 not in {curve.column for curve in looked.curves}


def test_what_rises_evenly_is_straight_and_strokes_after_a_rest_are_seen(tmp_path: Path) -> None:
    rows = [f"{10 * i};{800 if i > 1500 and i % 200 < 80 else 3}" for i in range(2000)]
    ramp, pulls = preview(_written(tmp_path / "a.csv", "a;b", rows)).curves
    middles = [(a + b) / 2 for a, b in zip(ramp.values[::2], ramp.values[1::2], strict=True)]
    steps = [b - a for a, b in pairwise(middles)]
    assert max(steps) - min(steps) <= 20.0, "a row more or less"
    assert pulls.greatest == 800.0
