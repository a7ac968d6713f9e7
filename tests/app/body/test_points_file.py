"""Points as a table."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from analysis.body.from_track import steadied
from analysis.body.track import POINTS, Source
from app.body.points_file import COLUMNS, read_points, write_points
from tests.helpers.followed import track_of
from tests.helpers.rowed import rowed


def test_what_is_written_is_read_again(tmp_path: Path) -> None:
    track = track_of(rowed(strokes=3), 0.003)
    xy_px = track.xy_px.copy()
    xy_px[5:9, POINTS.index("elbow")] = np.nan
    track = replace(track, xy_px=xy_px)
    write_points(tmp_path / "points.csv", track)
    back = read_points(tmp_path / "points.csv")
    np.testing.assert_allclose(back.time_s, track.time_s, atol=1e-6)
    np.testing.assert_allclose(back.xy_px, track.xy_px, atol=1e-3)
    np.testing.assert_allclose(back.sd_px, track.sd_px, atol=1e-3)
    assert (back.source[5:9, POINTS.index("elbow")] == Source.UNKNOWN).all()
    text = (tmp_path / "points.csv").read_text("ascii")
    assert text.splitlines()[0] == ",".join(COLUMNS) and "nan" not in text


def test_a_shaken_camera_is_taken_out(tmp_path: Path) -> None:
    track = track_of(rowed(strokes=3), shake=2.0)
    write_points(tmp_path / "points.csv", track)
    back = read_points(tmp_path / "points.csv")
    np.testing.assert_allclose(back.xy_px, steadied(track), atol=1e-3)


def test_a_few_columns_are_enough(tmp_path: Path) -> None:
    path = tmp_path / "points.csv"
    path.write_text("\ufefftime_s,handle_x,handle_y\n0.0,1,2\n0.1,,\n0.2,3,4\n", "utf-8")
    back = read_points(path)
    assert back.of("handle")[2].tolist() == [3.0, 4.0] and np.isnan(back.of("handle")[1]).all()
    assert np.isnan(back.of("hip")).all() and np.isnan(back.sd_px).all()
