"""On the command line: only what was chosen is read, and only what was reviewed is sent."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PySide6.QtCore import QStandardPaths

from app.commands.program import _parser
from app.commands.recordings import access, access_for
from app.files.user_folders import data_folder, library_folder
from app.review.parts.comparisons import new_comparison
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingAccess, locate, refer
from app.review.values.stroke_ref import StrokeRef
from app.window.session import settings
from tests.helpers.command_line import answer, refused, run
from tests.helpers.reviews import write_review

NOW = StrokeRef("", 0.0, 1.0, 2.0)


@pytest.fixture
def force(tmp_path: Path) -> Path:
    """Make a force recording outside the review's folder."""
    file = tmp_path / "films" / "piece.csv"
    file.parent.mkdir()
    rows = "".join(
        f"{i / 50:.2f},{max(0.0, 400 - abs(i % 100 - 20) * 20):.1f}\n" for i in range(500)
    )
    file.write_text("time_s,force_N\n" + rows)
    return file


@pytest.fixture
def review(tmp_path: Path, force: Path) -> Path:
    (tmp_path / "reviews").mkdir()
    path = tmp_path / "reviews" / "a.review"
    write_review(path, ReviewState(title="A", trace=refer(force, "trace", path)))
    return path


def allowed(review: Path, *options: str) -> RecordingAccess:
    from app.review.file.store import read_review

    parsed = _parser("bundle").parse_args(["bundle", str(review), "-o", "out", *options])
    return access_for(read_review(review), parsed)


def test_the_data_folder_is_the_one_of_the_window(monkeypatch: pytest.MonkeyPatch) -> None:
    assert data_folder() == settings.data_folder()
    assert library_folder() == settings.library_folder()
    monkeypatch.delenv("XDG_DATA_HOME")
    there = QStandardPaths.StandardLocation.GenericDataLocation
    assert data_folder() == Path(QStandardPaths.writableLocation(there)) / "strokeside"


def test_a_recording_outside_is_asked_about_once(review: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    said = refused("bundle", review, "-o", out)
    assert "outside the review's folder" in said
    assert "--trust-paths" in said
    assert not out.exists()
    assert "strokes.csv" in answer("bundle", review, "-o", out, "--trust-paths")["files"]
    assert "strokes.csv" in answer("bundle", review, "-o", out)["files"], "it is remembered"


def test_a_folder_to_look_in(review: Path, force: Path) -> None:
    force.rename(force.with_name("renamed.csv"))
    allowed(review, "--recordings-from", str(force.parent))
    state_access = allowed(review)
    ref = refer(force.with_name("renamed.csv"), "trace", review)
    assert locate(ref, review, state_access) == force.with_name("renamed.csv")


def test_a_folder_that_is_none(review: Path) -> None:
    with pytest.raises(ValueError, match="no folder gone"):
        allowed(review, "--recordings-from", "gone")


def test_another_recording_needs_a_yes(review: Path, force: Path, tmp_path: Path) -> None:
    force.write_text(force.read_text("utf-8") + "10.00,0.0\n")
    out = tmp_path / "out"
    said = refused("bundle", review, "-o", out, "--trust-paths")
    assert "piece.csv is another recording than the one reviewed" in said
    assert "--other-recording" in said
    assert not out.exists()
    meant = answer("bundle", review, "-o", out, "--trust-paths", "--other-recording")
    assert any("is another one" in remark for remark in meant["remarks"])


def test_what_new_was_given_is_remembered(force: Path, tmp_path: Path) -> None:
    (tmp_path / "far" / "from" / "it").mkdir(parents=True)
    review = tmp_path / "far" / "from" / "it" / "b.review"
    answer("new", force, "-o", review)
    assert locate(refer(force, "trace", review), review, access()) == force
    allowed(review)


def test_a_draft_of_files_elsewhere_is_written(force: Path, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    said = answer("draft", force, "-o", tmp_path / "out" / "draft")
    assert "strokes.csv" in said["files"]
    assert not any("not found" in remark for remark in said["remarks"])


def test_a_comparison_with_a_private_review(review: Path, force: Path, tmp_path: Path) -> None:
    private = tmp_path / "films" / "private.review"
    write_review(private, ReviewState(trace=refer(force, "trace", private)))
    there = StrokeRef(private.as_posix(), 0.0, 1.0, 2.0)
    beside = review.with_name("b.review")
    write_review(beside, ReviewState(comparisons=(new_comparison(NOW, there),)))
    with pytest.raises(ValueError, match="Another review it compares with lies outside"):
        allowed(beside)
    allowed(beside, "--trust-paths")
    allowed(beside)


@pytest.mark.skipif(os.name != "posix", reason="needs pipes")
def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    for name in ("pipe.csv", "pipe.mp4"):
        os.mkfifo(tmp_path / name)
        said = refused("new", tmp_path / name, "-o", tmp_path / "a.review")
        assert "pipe or a device" in said


def test_no_control_codes_reach_the_terminal(force: Path, tmp_path: Path) -> None:
    strange = force.with_name("p\x1b[2J\u202eiece.csv")
    force.rename(strange)
    status, *said = run("new", strange, "-o", tmp_path / "a.review")
    assert status == 0
    said.append(refused("new", strange, "-o", tmp_path / "gone" / "\x1b[1m\x9b\nb.review"))
    for text in said:
        assert not {"\x1b", "\x9b", "\u202e"} & set(text)
