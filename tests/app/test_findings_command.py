"""`strokeside findings`: what the recordings show, without a window."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from analysis.clocks.alignment import Alignment, AlignmentError
from analysis.clocks.matching import line_up
from analysis.force.strokes import find_strokes
from app.commands.intake import said_of_line_up
from app.review.file.store import read_review
from app.submission.together import Judged
from samples.submission import small_sample
from tests.helpers.command_line import answer, refused, run
from tests.helpers.rhythms import draw_wrong, write_other_piece

KEYS = {"code", "title", "phase", "strokes", "share", "severity", "evidence", "where"}

pytestmark = pytest.mark.usefixtures("sample_measured_once")


@pytest.fixture(scope="module")
def both() -> dict:
    sample = small_sample()
    return answer("findings", "--video", sample.footage, sample.force)


def test_the_faults_the_sample_was_rowed_with_are_found(both: dict) -> None:
    rowed = json.loads(small_sample().truth.read_text("utf-8"))["faults"]
    found = {f["code"] for f in both["findings"]}
    assert {fault["code"] for fault in rowed} <= found
    assert all(set(f) >= KEYS for f in both["findings"])


def test_each_finding_points_to_one_moment_of_both_clocks(both: dict) -> None:
    clocks = json.loads(small_sample().truth.read_text("utf-8"))["clocks"]
    for finding in both["findings"]:
        where = finding["where"]
        apart = where["video_s"] - clocks["offset_s"] - where["trace_s"]
        assert abs(apart) <= 1 / 60 + 0.002  # half a frame, and the clocks' own drift


def test_force_alone_has_no_moment_of_a_film(both: dict) -> None:
    alone = answer("findings", small_sample().force)
    assert [f["code"] for f in alone["findings"]] == [f["code"] for f in both["findings"]]
    assert alone["alignment"] is None
    assert all(f["where"]["video_s"] is None for f in alone["findings"])


def test_a_pair_counts_more_than_the_search() -> None:
    sample = small_sample()
    found = answer("findings", sample.force, "--video", sample.footage, "--pair", "5:1")
    assert found["alignment"]["method"] == "by hand"
    where = found["findings"][0]["where"]
    assert where["video_s"] - where["trace_s"] == pytest.approx(4.0, abs=1e-3)


def test_the_picture_alone_is_not_guessed_at() -> None:
    alone = answer("findings", "--video", small_sample().footage)
    assert alone["findings"] == []
    assert "not set up on this machine" in alone["remarks"][0]
    assert "not set up on this machine" in run("findings", "--video", small_sample().footage)[1]


def test_what_shows_nothing_in_common_has_no_moment_of_the_film(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def nothing_in_common(*_: object) -> None:
        raise AlignmentError("Nothing in common.")

    monkeypatch.setattr("app.submission.laying.line_up_with_cuts", nothing_in_common)
    sample = small_sample()
    found = answer("findings", "--video", sample.footage, sample.force)
    assert found["findings"] and found["alignment"] is None
    assert all(f["where"]["video_s"] is None for f in found["findings"])
    assert any("--pair" in remark for remark in found["remarks"])


def test_for_a_reader_there_is_a_table_and_the_way_out() -> None:
    said = run("findings", small_sample().force)[1]
    assert "severity" in said.splitlines()[0]
    assert "Cue: " in said and "Drill: " in said


def test_unusable_input_is_refused_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "empty.csv").write_text("")
    refused("findings", tmp_path / "empty.csv")
    refused("findings", "--video", tmp_path / "gone.mp4")


def test_a_draft_leaves_out_the_line_up_with_another_piece(tmp_path: Path) -> None:
    force = write_other_piece(tmp_path / "other.csv")
    kept = tmp_path / "kept.review"
    said = answer("draft", small_sample().footage, force, "-o", tmp_path / "out", "--review", kept)
    assert said["alignment"]["method"] == "assumed"
    assert any("do not keep step" in remark for remark in said["remarks"])
    assert not any("assumed to start together" in remark for remark in said["remarks"])
    made_of_the_film = ("strips/", "stills/", "clips/")
    assert said["notes"] and not any(name.startswith(made_of_the_film) for name in said["files"])
    assert read_review(kept).alignment == Alignment()


def test_what_may_be_of_two_pieces_is_left_out_where_nobody_looks() -> None:
    """Two strokes of a metronome, as any other two: laid in the window, said so, not here."""
    met = draw_wrong(17, "same plan")
    found = line_up(met.motion, met.sound, met.trace, find_strokes(met.trace))
    assert found.verdict == "one of several" and found.step.none > 0.5
    judged = Judged(found)
    assert judged.alignment is None and "may not be of one piece" in said_of_line_up(judged)[0]
    proven = Judged(replace(found, step=replace(found.step, by_chance=0.001, fits=0.8)))
    assert proven.alignment == found.alignment and "not sure" in said_of_line_up(proven)[0]


def test_findings_of_another_piece_have_no_moment_of_the_film(tmp_path: Path) -> None:
    force = write_other_piece(tmp_path / "other.csv")
    said = answer("findings", "--video", small_sample().footage, force)
    assert said["alignment"] is None
    assert any("do not keep step" in remark for remark in said["remarks"])


def test_a_draft_lines_up_by_itself_and_shows_the_strokes(tmp_path: Path) -> None:
    sample = small_sample()
    clocks = json.loads(sample.truth.read_text("utf-8"))["clocks"]
    said = answer("draft", sample.footage, sample.force, "-o", tmp_path / "out")
    assert abs(said["alignment"]["offset_s"] - clocks["offset_s"]) <= 1 / 60  # half a frame
    assert not any("assumed" in remark for remark in said["remarks"])
    strips = {name for name in said["files"] if name.startswith("strips/")}
    assert strips == {
        f"strips/note-{n:02d}{end}"
        for n in range(1, said["notes"] + 1)
        for end in (".svg", "-narrow.svg", ".jpg")
    }
