"""`strokeside body`, and findings and drafts of a film alone."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest

from analysis.body.following.follow import Followed
from analysis.body.track import POINTS, BodyTrack, Click, Source
from app.body import joining
from app.review.file.store import read_review
from app.submission.body import body_of
from samples.submission import small_sample
from tests.helpers.command_line import answer, refused, run
from tests.helpers.followed import followed_as

pytestmark = pytest.mark.usefixtures("sample_measured_once")


def true_track() -> BodyTrack:
    """The points of the small sample as its ground truth has them, with a little jitter."""
    frames = json.loads(small_sample().truth.read_text("utf-8"))["frames"]
    time_s = np.array(frames["time_s"])
    rng = np.random.default_rng(4)
    xy = np.stack([np.array(frames["points_px"][name]) for name in POINTS], axis=1)
    sd = np.full(xy.shape[:2], 0.5)
    source = np.full(sd.shape, Source.DETECTOR, np.uint8)
    return BodyTrack(time_s, xy + 0.5 * rng.normal(size=xy.shape), sd, source)


@pytest.fixture
def clicks(monkeypatch: pytest.MonkeyPatch) -> list[Click]:
    """Following is set up; what was clicked is kept."""
    seen: list[Click] = []

    def follow(
        path: Path, clicks: Sequence[Click], cancelled: Callable[[], bool],
        progress: Callable[[float], None],
    ) -> Followed:  # fmt: skip
        assert path.name == small_sample().footage.name and not cancelled()
        progress(1.0)
        seen.extend(clicks)
        return followed_as(true_track())

    monkeypatch.setattr(joining, "follower", lambda: follow)
    return seen


def test_points_strokes_and_angles_of_a_film(clicks: list[Click], tmp_path: Path) -> None:
    out = tmp_path / "points.csv"
    found = answer(
        *("body", small_sample().footage, "-o", out, "--stature", "1.84"),
        *("--hip", "100,90.5", "--head", "110,40", "--at", "1.5"),
    )
    assert [(c.point, c.time_s, c.x_px, c.y_px) for c in clicks] == [
        ("hip", 1.5, 100.0, 90.5),
        ("head", 1.5, 110.0, 40.0),
    ]
    assert set(found) >= {"fps", "view", "strokes", "angles", "remarks"}
    assert set(found["view"]) == {"yaw_deg", "tilt_deg", "distance_m"}
    truth = json.loads(small_sample().truth.read_text("utf-8"))
    turns = [turn["catch_end_s"] for turn in truth["handle_turns"]]
    assert found["strokes"]
    for stroke in found["strokes"]:
        assert set(stroke) >= {"index", "hands_turn_s", "finish_turn_s", "next_turn_s"}
        assert min(abs(stroke["hands_turn_s"] - turn) for turn in turns) < 1.0 / found["fps"]
    knee = np.mean(truth["frames"]["angles_deg"]["knee"])
    assert found["angles"]["knee"]["mean"] == pytest.approx(knee, abs=1.0)
    with out.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(truth["frames"]["time_s"])
    named = ["ankle", "knee", "hip", "shoulder", "elbow", "wrist", "head", "handle", "seat"]
    assert list(rows[0]) == ["time_s", *(f"{n}_{part}" for n in named for part in ("x", "y", "sd"))]
    assert float(rows[60]["time_s"]) == pytest.approx(truth["frames"]["time_s"][60], abs=1e-4)
    hip = truth["frames"]["points_px"]["hip"][60]
    assert [float(rows[60][k]) for k in ("hip_x", "hip_y")] == pytest.approx(hip, abs=3.0)
    for angle in found["angles"].values():
        assert set(angle) >= {"unit", "mean", "sd"} and angle["unit"] == "deg"


def test_a_reader_gets_a_table_without_the_word_catch(clicks: list[Click], tmp_path: Path) -> None:
    said = run("body", small_sample().footage, "-o", tmp_path / "points.csv")[1]
    assert "hands turn" in said and "from the picture" in said and "catch" not in said.lower()


def test_where_nothing_is_set_up_one_sentence_says_so(tmp_path: Path) -> None:
    out = tmp_path / "points.csv"
    assert "not set up on this machine" in refused("body", small_sample().footage, "-o", out)
    assert not out.exists()


def test_a_film_alone_has_findings_of_the_picture(clicks: list[Click]) -> None:
    found = answer("findings", "--video", small_sample().footage, "--stature", "1.84")
    assert found["findings"] and found["alignment"] is None
    for finding in found["findings"]:
        assert finding["seen_in"] == "picture" and finding["evidence"]["sd"] is not None
        assert finding["where"]["video_s"] is not None and finding["where"]["trace_s"] is None
    assert any("low back" in remark for remark in found["remarks"])


def test_points_that_were_followed_before_count_beside_a_force(
    clicks: list[Click], tmp_path: Path
) -> None:
    out, sample = tmp_path / "points.csv", small_sample()
    answer("body", sample.footage, "-o", out)
    alone = answer("findings", "--video", sample.footage, "--points", out)
    both = answer("findings", "--video", sample.footage, sample.force, "--points", out)
    seen = {f["code"]: f["seen_in"] for f in both["findings"]}
    assert {"force", "picture"} == set(seen.values())
    assert {f["code"] for f in alone["findings"] if not f["good"]} <= set(seen)
    for finding in both["findings"]:
        assert finding["where"]["video_s"] is not None
        assert finding["where"]["trace_s"] is not None


def test_a_film_alone_gives_a_draft_with_its_findings(clicks: list[Click], tmp_path: Path) -> None:
    out, review = tmp_path / "bundle", tmp_path / "draft.review"
    made = answer("draft", small_sample().footage, "-o", out, "--review", review)
    assert made["draft"] and made["notes"] >= 1
    page = (out / "index.html").read_text("utf-8")
    assert "nothing was measured" not in page
    found = answer("findings", "--video", small_sample().footage)["findings"]
    assert found[0]["title"] in page or "From the picture" in page
    kept = read_review(review)
    again = body_of(kept)
    assert again is not None and again.strokes, "the window goes on with what was followed"
    record = json.loads((out / "review.json").read_text("utf-8"))
    turns = [stroke["hands_turn_s"] for stroke in record["strokes"]]
    assert turns == pytest.approx([stroke.catch_s for stroke in again.strokes])


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("nothing\n1\n", "time_s"),
        ("time_s,hip_x\n1,2\n1,3\n", "ascend"),
        ("time_s,hip_x\n1,2\n2,x\n", "no table of points"),
        ("time_s\n1\n2\n", "knows no point"),
        ("", "no table of points"),
    ],
)
def test_a_table_that_is_none_is_refused(text: str, why: str, tmp_path: Path) -> None:
    path = tmp_path / "points.csv"
    path.write_text(text, "utf-8")
    assert why in refused("findings", "--video", small_sample().footage, "--points", path)


@pytest.mark.parametrize(
    "call",
    [
        ("findings", "force.csv", "--points", "points.csv"),
        ("body", "film.mp4"),
        ("body", "film.mp4", "-o", "points.csv", "--hip", "3"),
        ("body", "film.mp4", "-o", "points.csv", "--stature", "184"),
    ],
)
def test_a_wrong_call_is_2(call: tuple[str, ...]) -> None:
    assert run(*call)[0] == 2


def test_the_view_says_what_is_known_and_null_where_it_is_not(
    clicks: list[Click], tmp_path: Path
) -> None:
    call = ("body", small_sample().footage, "-o", tmp_path / "points.csv")
    alone, told = answer(*call), answer(*call, "--stature", "1.84")
    assert alone["view"] == {"yaw_deg": None, "tilt_deg": None, "distance_m": None}
    assert told["view"]["yaw_deg"] is None and 1.5 < told["view"]["distance_m"] < 6.0
    # From further away depths matter less, and nothing says how square the camera stood.
    assert 1.0 < told["angles"]["elbow"]["sd"] < alone["angles"]["elbow"]["sd"]
    assert told["angles"]["elbow"]["mean"] == pytest.approx(alone["angles"]["elbow"]["mean"])


def feet_of(yaw_deg: float, tilt_px: float = 0.0) -> list[str]:
    """Options for bars on the floor that lead to where a camera so turned sees them meet."""
    meet = np.array((480.0 - 0.785 * 960 * np.tan(np.radians(yaw_deg)), 270.0 + tilt_px))
    said: list[str] = []
    for name, x in (("front", 90.0), ("rear", 800.0)):
        near = np.array((x, 500.0))
        far = near + 0.15 * (meet - near)
        for end, (u, v) in (("near", near), ("far", far)):
            said += [f"--{name}-foot-{end}", f"{u:.1f},{v:.1f}"]
    return said


def test_fixed_points_fill_the_view_and_handle_and_seat_are_followed(
    clicks: list[Click], tmp_path: Path
) -> None:
    out, sample = tmp_path / "points.csv", small_sample()
    truth = json.loads(sample.truth.read_text("utf-8"))["frames"]
    at = 200
    handle, seat = (truth["points_px"][name][at] for name in ("handle", "seat"))
    found = answer(
        *("body", sample.footage, "-o", out, "--stature", "1.84"),
        *("--at", str(truth["time_s"][at]), "--handle", f"{handle[0]},{handle[1]}"),
        *("--seat", f"{seat[0]},{seat[1]}", *feet_of(10.0)),
    )
    assert not clicks, "no click said who the athlete is"
    view = found["view"]
    assert abs(view["yaw_deg"]) == pytest.approx(10.0, abs=1.5)
    assert view["tilt_deg"] == pytest.approx(0.0, abs=1.5) and 1.0 < view["distance_m"] < 8.0
    assert any("degrees off square" in remark for remark in found["remarks"])
    with out.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    known = [i for i, row in enumerate(rows) if row["handle_x"]]
    off = [abs(float(rows[i]["handle_x"]) - truth["points_px"]["handle"][i][0]) for i in known]
    assert len(known) > 0.9 * len(rows) and np.percentile(off, 90) < 1.0


def test_a_camera_far_off_square_gives_no_angle_and_says_why(
    clicks: list[Click], tmp_path: Path
) -> None:
    found = answer("body", small_sample().footage, "-o", tmp_path / "p.csv", *feet_of(26.0))
    assert found["angles"]["knee"]["mean"] is None
    assert any("26 degrees from square" in remark for remark in found["remarks"])
    assert found["view"]["yaw_deg"] is not None and found["view"]["distance_m"] is None


def test_without_fixed_points_the_view_is_not_known_and_that_is_said(
    clicks: list[Click], tmp_path: Path
) -> None:
    found = answer("body", small_sample().footage, "-o", tmp_path / "p.csv")
    assert found["view"] == {"yaw_deg": None, "tilt_deg": None, "distance_m": None}
    assert any("How the camera stood is not known" in remark for remark in found["remarks"])
