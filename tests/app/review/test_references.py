from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from app.review.parts.media import MediaRef
from app.review.parts.notes import Note
from app.review.parts.reference import Reference
from app.review.parts.state import ReviewState
from app.review.references import (
    REMOVED,
    add_reference,
    edit_reference,
    list_references,
    new_reference_id,
    read_reference,
    remove_reference,
    restore_reference,
    was_removed,
)
from app.review.values.errors import ReviewError
from tests.helpers.reviews import write_review

STEADY = Reference("Steady 20", "left", 20.0, "club", "Long and level.", 0.5, 1.5, 3.5)
STATE = ReviewState(
    athlete="Maren",
    video=MediaRef("video", "x.mp4", 5, "a" * 64),
    notes=(Note("n", 1.0, "private"),),
)


@pytest.fixture
def library(tmp_path: Path) -> Path:
    folder = tmp_path / "references"
    folder.mkdir()
    return folder


def test_a_reference_is_kept_renamed_removed_and_brought_back(library: Path) -> None:
    kept = add_reference(library, new_reference_id(), STATE, STEADY)
    assert list_references(library).kept == (kept,)
    assert (kept.state.athlete, kept.state.notes) == ("", ()), "no more of a person than it needs"
    assert (kept.stroke.source, kept.stroke.finish_s) == (kept.id, 1.5)

    said = replace(STEADY, name="Steady twenty", notes="Watch the hands.")
    assert edit_reference(library, kept.id, said).reference == said
    with pytest.raises(ReviewError, match="name"):
        edit_reference(library, kept.id, replace(STEADY, name=""))

    (library / f"{kept.id}.mp4").write_bytes(b"film")
    gone = remove_reference(library, kept.id)
    assert gone.is_file() and (library / REMOVED / f"{kept.id}.mp4").read_bytes() == b"film"
    assert list_references(library).kept == () and was_removed(library, kept.id)
    with pytest.raises(ReviewError, match="choose another one"):
        read_reference(library, kept.id)
    assert restore_reference(library, kept.id).reference == said
    assert not was_removed(library, kept.id)
    with pytest.raises(ReviewError, match="not among the removed"):
        restore_reference(library, kept.id)


def test_damaged_and_foreign_files_cost_no_other_stroke(library: Path) -> None:
    good = add_reference(library, new_reference_id(), STATE, STEADY)
    (library / f"{'1' * 32}.review").write_bytes(b"no database at all")
    (library / f"{'2' * 32}.review").write_bytes(good.path.read_bytes()[:2000])
    write_review(library / f"{'3' * 32}.review", ReviewState(title="no reference"))
    (library / f"{'4' * 32}.review").mkdir()
    (library / "holiday.review").write_bytes(b"left alone")
    found = list_references(library)
    assert found.kept == (good,)
    assert len(found.problems) == 4
    for said in found.problems:
        assert said.startswith("A reference stroke was passed over") and "Traceback" not in said


def test_an_id_never_leads_out_of_the_library(library: Path) -> None:
    for hostile in ("../outside", "", "A" * 32, "..", f"{'0' * 31}/"):
        with pytest.raises(ReviewError, match="no such reference"):
            read_reference(library, hostile)


def test_a_library_that_is_not_there_is_empty(tmp_path: Path) -> None:
    found = list_references(tmp_path / "nowhere")
    assert (found.kept, found.problems) == ((), ())
