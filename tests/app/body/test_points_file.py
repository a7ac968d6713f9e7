"""Points as a table."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from analysis.body.from_track import steadied
from analysis.body.track import POINTS, Source
from app.body.points_file import COLUMNS, STEADY, read_points, write_points
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


def test_with_a_shaken_camera_points_are_those_of_the_picture_that_is_seen(tmp_path: Path) -> None:
    track = track_of(rowed(strokes=3), shake=2.0)
    path = tmp_path / "points.csv"
    write_points(path, track)
    back = read_points(path)
    np.testing.assert_allclose(back.xy_px, track.xy_px, atol=1e-3)
    assert np.abs(track.xy_px - steadied(track)).max() > 2.0, "the camera did move"
    np.testing.assert_allclose(steadied(back), steadied(track), atol=2e-3)
    assert path.read_text("ascii").splitlines()[0] == ",".join((*COLUMNS, *STEADY))


def test_a_camera_that_is_not_known_of_every_frame_counts_as_still(tmp_path: Path) -> None:
    path = tmp_path / "points.csv"
    row = "1,0,{},0,1,0"
    head = f"time_s,hip_x,hip_y,{','.join(STEADY)}\n"
    path.write_text(f"{head}0.0,1,2,{row.format(3)}\n0.1,1,2,{row.format('')}\n", "utf-8")
    assert read_points(path).steady is None
    path.write_text(f"{head}0.0,1,2,{row.format(3)}\n0.1,1,2,{row.format(4)}\n", "utf-8")
    assert steadied(read_points(path))[:, POINTS.index("hip")].tolist() == [[4, 2], [5, 2]]


def test_a_few_columns_are_enough(tmp_path: Path) -> None:
    path = tmp_path / "points.csv"
    path.write_text("\ufefftime_s,handle_x,handle_y\n0.0,1,2\n0.1,,\n0.2,3,4\n", "utf-8")
    back = read_points(path)
    assert back.of("handle")[2].tolist() == [3.0, 4.0] and np.isnan(back.of("handle")[1]).all()
    assert np.isnan(back.of("hip")).all() and np.isnan(back.sd_px).all()
