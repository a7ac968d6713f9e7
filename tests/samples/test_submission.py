import json
import shutil
import subprocess
from pathlib import Path

import av
import numpy as np
import pytest

from samples.camera import Camera, hand_shake, seen
from samples.faults import SampleError
from samples.footage import Footage, read_burned
from samples.piece import PieceOptions, simulate_piece
from samples.rower import move
from samples.submission import (
    SMALL,
    SampleOptions,
    Submission,
    make_submission,
    simulate_force,
    small_sample,
)

SHORT = SampleOptions(
    duration_s=4.0, width=480, height=270, offset_s=1.25, burn_index=True, shake=0.5
)


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> Submission:
    return make_submission(tmp_path_factory.mktemp("sample"), SHORT)


def pictures(path: Path) -> list[np.ndarray]:
    with av.open(str(path)) as file:
        return [f.to_ndarray(format="gray") for f in file.decode(video=0)]


def test_every_frame_is_there_in_order(short):
    assert [read_burned(p) for p in pictures(short.footage)] == list(range(120))


def test_the_file_is_what_a_player_expects(short):
    if shutil.which("ffprobe") is None:
        pytest.skip("ffprobe is not installed, so there is nothing to compare with")
    command = ["ffprobe", "-v", "error", "-count_frames", "-show_streams", "-of", "json"]
    told = subprocess.run([*command, str(short.footage)], capture_output=True, check=True)
    streams = {s["codec_type"]: s for s in json.loads(told.stdout)["streams"]}
    video, sound = streams["video"], streams["audio"]
    assert (video["codec_name"], video["pix_fmt"]) == ("h264", "yuv420p")
    assert (video["r_frame_rate"], video["nb_read_frames"]) == ("30/1", "120")
    assert {video[f"color_{k}"] for k in ("space", "primaries", "transfer")} == {"bt709"}
    assert (sound["codec_name"], sound["sample_rate"], sound["channels"]) == ("aac", "48000", 1)
    assert float(video["start_time"]) == 0.0
    content = short.footage.read_bytes()
    assert content.index(b"moov") < content.index(b"mdat")
    assert b"creation_time" not in content


def test_truth_knows_strokes_and_points(short):
    truth = json.loads(short.truth.read_text("utf-8"))
    frames = truth["frames"]
    assert len(frames["time_s"]) == len(frames["phase"]) == 120
    assert truth["clocks"]["offset_s"] == 1.25
    for stroke in truth["strokes"]:
        video_s, trace_s = stroke["catch"]["video_s"], stroke["catch"]["trace_s"]
        assert trace_s == pytest.approx((video_s - 1.25) * (1.0 + 40e-6), abs=2e-5)
    hip = np.array(frames["points_px"]["hip"])
    assert (hip > 0).all()
    assert (hip < (480, 270)).all()


def test_the_handle_is_painted_where_truth_says(short):
    # The bar's end is the darkest thing near the hands.
    truth = json.loads(short.truth.read_text("utf-8"))
    at = np.array(truth["frames"]["points_px"]["handle"])
    for i, picture in enumerate(pictures(short.footage)):
        x, y = np.round(at[i]).astype(int)
        assert picture[y - 1 : y + 2, x - 1 : x + 2].mean() < 110, i


def test_same_options_give_the_same_files(short, tmp_path):
    again = make_submission(tmp_path / "again", SHORT)
    assert again.force.read_bytes() == short.force.read_bytes()
    assert again.truth.read_bytes() == short.truth.read_bytes()
    for one, two in zip(pictures(short.footage), pictures(again.footage), strict=True):
        assert np.array_equal(one, two)


def test_facing_right_mirrors_picture_and_points():
    piece = simulate_piece(PieceOptions(duration_s=3.0))
    motion = move(piece, np.array([0.5, 1.0, 2.0]))
    shake = hand_shake(1, motion.time_s, 1.0, 140.0)
    left, right = Camera(480, 270), Camera(480, 270, "right")
    one, two = (Footage(camera, motion, piece, shake, 1).frame(1) for camera in (left, right))
    assert np.array_equal(one, two[:, ::-1])
    knee = motion.points["knee"]
    mirrored = seen(right, knee, shake)
    assert seen(left, knee, shake)[:, 0] + mirrored[:, 0] == pytest.approx([479.0] * 3)
    assert seen(left, knee, shake)[:, 1] == pytest.approx(mirrored[:, 1])


def test_sound_follows_the_flywheel(short):
    with av.open(str(short.footage)) as file:
        sound = np.concatenate([f.to_ndarray()[0] for f in file.decode(audio=0)])
    level = np.sqrt((sound[: 4 * 48000].reshape(-1, 4800) ** 2).mean(axis=1))
    strokes = json.loads(short.truth.read_text())["strokes"]
    loud = level[int(strokes[0]["finish"]["video_s"] * 10)]
    quiet = level[int(strokes[0]["catch"]["video_s"] * 10)]
    assert loud > 1.3 * quiet
    assert np.abs(sound).max() < 0.99


def test_stopping_leaves_nothing_behind(tmp_path):
    asked = iter([False] * 5 + [True] * 10)
    shares: list[float] = []
    with pytest.raises(SampleError, match="stopped"):
        make_submission(tmp_path / "out", SHORT, shares.append, lambda: next(asked))
    assert list((tmp_path / "out").iterdir()) == []
    assert shares == sorted(shares)


def test_somebody_elses_files_are_not_touched(tmp_path):
    (tmp_path / "force.csv").write_text("mine")
    with pytest.raises(SampleError, match=r"force\.csv"):
        make_submission(tmp_path, SHORT)
    assert (tmp_path / "force.csv").read_text() == "mine"


def test_bad_places_and_options_are_one_sentence(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(SampleError, match="is a file"):
        make_submission(tmp_path / "file", SHORT)
    with pytest.raises(SampleError, match="cannot be made"):
        make_submission(tmp_path / "file" / "sub", SHORT)
    with pytest.raises(SampleError, match="even sides"):
        make_submission(tmp_path / "odd", SampleOptions(width=481))
    with pytest.raises(SampleError, match="last second"):
        make_submission(tmp_path / "late", SampleOptions(offset_s=40.0))


def test_the_small_sample_is_small_and_made_by_this_code():
    sample = small_sample()
    truth = json.loads(sample.truth.read_text("utf-8"))
    assert len([s for s in truth["strokes"] if s["next_catch"]["video_s"]]) >= 4
    assert sum(p.stat().st_size for p in (sample.footage, sample.force, sample.truth)) < 2_000_000
    assert len(pictures(sample.footage)) == len(truth["frames"]["time_s"])
    recording, piece = simulate_force(SMALL)
    stored = np.genfromtxt(sample.force, delimiter=",", names=True)
    assert stored["time_s"] == pytest.approx(recording.time_s, abs=1e-4)
    assert stored["force_n"] == pytest.approx(recording.force_n, abs=0.11)
    catches = [s["catch"]["video_s"] for s in truth["strokes"]]
    assert catches == pytest.approx([s.catch_s for s in piece.strokes], abs=2e-5)
