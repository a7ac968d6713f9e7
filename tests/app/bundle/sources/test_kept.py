"""What the coach kept reaches the athlete, with its strip; what was dropped reaches nobody."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from analysis.findings.catalogue import read_catalogue
from analysis.findings.find import find
from analysis.force.intake import read_trace
from analysis.force.piece import analyse
from app.bundle.options import WriteOptions
from app.bundle.sources.kept import kept_findings
from app.bundle.write import BundleResult, write_bundle
from app.review.finding_notes import finding_note
from app.review.parts.findings import Decision
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from tests.app.bundle.conftest import OFFSET_S
from tests.helpers.submissions import submission_of


def giving_force() -> str:
    """Five strokes that give at a quarter of the drive and run out early."""
    time_s = np.arange(0.0, 8.9, 0.01)
    force_n = np.zeros_like(time_s)
    for i in range(5):
        share = (time_s - 0.5 - 1.7 * i) / 0.8
        pull = np.interp(share, [0, 0.2, 0.3, 0.42, 0.55, 1], [0, 480, 250, 600, 300, 0], 0, 0)
        force_n += np.where((share >= 0) & (share <= 1), pull, 0.0)
    rows = zip(time_s, force_n, strict=True)
    return "time_s,force_N\n" + "".join(f"{t:.2f},{f:.2f}\n" for t, f in rows)


@pytest.fixture(scope="module")
def kept_review(desk: Path, review: ReviewState, review_path: Path) -> ReviewState:
    force = desk / "giving.csv"
    force.write_text(giving_force(), "utf-8")
    lined_up = Alignment(OFFSET_S - 0.3, 0.0, 0.01, "by picture and sound")
    found = {f.code: f for f in find(analyse(read_trace(force)), lined_up)}
    notes = {code: finding_note(found[code]) for code in ("give", "early-loss")}
    good = Note("good", 8.0, "Soft catch\nCue: Keep it.")
    return replace(
        review,
        trace=refer(force, "trace", review_path),
        alignment=lined_up,
        notes=(Note("own", 0.4, "My own words."), *notes.values(), good),
        decisions=(
            Decision("peaky", False),
            *(Decision(code, True, note.id) for code, note in notes.items()),
            Decision("soft-catch", True, "good"),
            Decision("uneven", True, "a note that was deleted"),
        ),
    )


@pytest.fixture(scope="module")
def sent(
    kept_review: ReviewState,
    review_path: Path,
    tmp_path_factory: pytest.TempPathFactory,
    made_once: WriteOptions,
) -> BundleResult:
    return write_bundle(
        kept_review, review_path, tmp_path_factory.mktemp("kept") / "feedback", options=made_once
    )


def record_of(sent: BundleResult) -> dict:
    return json.loads((sent.path / "review.json").read_text("utf-8"))


def test_good_signs_come_first_then_findings_then_the_rest(sent: BundleResult) -> None:
    record = record_of(sent)
    first_lines = [note["text"].split("\n")[0] for note in record["notes"]]
    assert first_lines[0] == "Soft catch"
    assert set(first_lines[1:3]) == {"Giving way after the catch", "Force runs out early"}
    assert first_lines[3] == "My own words."
    assert record["findings"][0]["code"] == "soft-catch"
    assert [f["note"] for f in record["findings"]] == [1, 2, 3]
    assert [f["good"] for f in record["findings"]] == [True, False, False]


def test_what_was_dropped_is_in_no_file(sent: BundleResult) -> None:
    said = read_catalogue()
    for path in (p for p in sent.path.rglob("*") if p.is_file()):
        data = path.read_bytes()
        for code in ("peaky", "uneven"):
            assert said[code].title.encode() not in data, path.name
            assert f'"{code}"'.encode() not in data, path.name
            assert said[code].cue.encode() not in data, path.name


def test_each_finding_has_its_strip_with_the_span_said(sent: BundleResult) -> None:
    page = (sent.path / "index.html").read_text("utf-8")
    record = record_of(sent)
    give = next(n for n in record["notes"] if n["text"].startswith("Giving way"))
    stem = f"strips/note-{give['number']:02d}"
    assert give["strip"] == f"{stem}.svg"
    assert {f"{stem}.svg", f"{stem}-narrow.svg", f"{stem}.jpg"} <= set(sent.files)
    evidence = next(f for f in record["findings"] if f["code"] == "give")["evidence"]
    begin, end = evidence["percent"]
    alt = re.search(rf'src="{stem}\.svg" alt="([^"]+)"', page)
    assert alt is not None
    assert (
        f"from {begin:.0f} to {end:.0f}\u00a0% of the drive: Giving way after the catch." in alt[1]
    )
    assert f'srcset="{stem}-narrow.svg"' in page
    assert "strips/typical.svg" not in sent.files


def test_cue_drill_and_care_are_set_apart(sent: BundleResult) -> None:
    page = (sent.path / "index.html").read_text("utf-8")
    said = read_catalogue()["give"]
    cue = re.search(
        r'<div class="way cue"><dt>Cue</dt><dd><span dir="auto">Hang on([^<]+)</span>', page
    )
    assert cue is not None and cue[1] in said.cue
    assert "<dt>Drill</dt>" in page and "<dt>With care</dt>" in page
    assert "Cue:" not in page and 'id="caution"' in page


def test_without_kept_findings_the_typical_stroke_is_shown(
    kept_review: ReviewState,
    review_path: Path,
    tmp_path: Path,
    made_once: WriteOptions,
) -> None:
    plain = replace(kept_review, notes=(), decisions=())
    result = write_bundle(plain, review_path, tmp_path / "f", options=made_once)
    assert "strips/typical.svg" in result.files
    assert json.loads((tmp_path / "f/review.json").read_text("utf-8"))["findings"] == []
    unsure = replace(plain, alignment=Alignment())
    result = write_bundle(unsure, review_path, tmp_path / "g", options=made_once)
    assert not any(name.startswith("strips/") for name in result.files), "nobody lined them up"


def test_without_a_film_kept_findings_still_come_first(
    kept_review: ReviewState,
    review_path: Path,
    tmp_path: Path,
    made_once: WriteOptions,
) -> None:
    result = write_bundle(
        replace(kept_review, video=None), review_path, tmp_path / "f", options=made_once
    )
    assert not any(name.startswith("strips/") for name in result.files)
    notes = json.loads((tmp_path / "f/review.json").read_text("utf-8"))["notes"]
    assert notes[0]["text"].startswith("Soft catch")


def test_a_finding_the_recordings_no_longer_show_stays_as_words(kept_review: ReviewState) -> None:
    kept = kept_findings(submission_of(kept_review, None))
    assert kept[0].code == "soft-catch"
    assert all(k.finding is None for k in kept)
