"""The commands `archive` and `unpack`."""

from __future__ import annotations

from pathlib import Path

from app.review.file.store import create_file, read_review
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from tests.helpers.command_line import answer, refused, run


def test_there_and_back(tmp_path: Path) -> None:
    force = tmp_path / "force.csv"
    force.write_text("time_s,force_N\n0,1\n")
    review = tmp_path / "May.review"
    create_file(review, ReviewState(athlete="Maren", trace=refer(force, "trace", review)))
    packed = tmp_path / "May.zip"
    made = answer("archive", review, "-o", packed)
    assert made["archive"] == str(packed)
    assert made["recordings"] == ["force.csv"]
    assert made["missing"] == []
    assert made["bytes"] == packed.stat().st_size
    other = tmp_path / "other"
    other.mkdir()
    came = answer("unpack", packed, "-o", other)
    assert read_review(Path(came["review"])).athlete == "Maren"
    assert Path(came["recordings"][0]).read_bytes() == force.read_bytes()
    status, text, _ = run("unpack", packed)
    assert status == 0
    assert f"Review: {tmp_path / 'May' / 'May.review'}" in text
    assert "exists already and was left as it is" in refused("archive", review, "-o", packed)


def test_what_is_none_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "letter.zip"
    path.write_bytes(b"letter")
    assert "letter.zip is damaged" in refused("unpack", path)
    assert "no folder nowhere" in refused("unpack", path, "-o", tmp_path / "nowhere")
    assert [p.name for p in tmp_path.iterdir()] == ["letter.zip"]
