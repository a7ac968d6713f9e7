"""What is done to the library of reference strokes, and how it is taken back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.review.parts.reference import Reference
from app.review.parts.state import ReviewState
from app.review.reference_library import ReferenceLibrary
from app.review.references import add_reference, new_reference_id, read_reference
from app.review.values.errors import ReviewError

STEADY = Reference("Steady 20", "left", 20.0, "club", "Long and level.", 0.5, 1.5, 3.5)
QUICK = replace(STEADY, name="Quick 30", rate_spm=30.0, view="right")


def library_of(folder: Path, *references: Reference) -> tuple[ReferenceLibrary, list[str]]:
    folder.mkdir(exist_ok=True)
    ids = [new_reference_id() for _ in references]
    for id_, reference in zip(ids, references, strict=True):
        add_reference(folder, id_, ReviewState(), reference)
        (folder / f"{id_}.mp4").write_bytes(id_.encode())
    return ReferenceLibrary(folder), ids


def contents(library: ReferenceLibrary) -> tuple[list[Reference], list[Reference]]:
    kept, removed = library.kept().kept, library.removed().kept
    return [each.reference for each in kept], [each.reference for each in removed]


def test_an_edit_a_removal_and_a_restoring_are_taken_back_one_by_one(tmp_path: Path) -> None:
    library, (steady, quick) = library_of(tmp_path / "references", STEADY, QUICK)
    reworded = replace(STEADY, level="first year", notes="Watch the hands.")
    library.edit(steady, reworded)
    library.remove(quick)
    library.restore(quick)
    library.remove(steady)
    assert contents(library) == ([QUICK], [reworded])
    assert (library.folder / "removed" / f"{steady}.mp4").read_bytes() == steady.encode()
    assert library.undo_label == "remove “Steady 20”"
    seen = []
    while library.undo() is not None:
        seen.append(contents(library))
    assert seen == [
        ([QUICK, reworded], []),
        ([reworded], [QUICK]),
        ([QUICK, reworded], []),
        ([QUICK, STEADY], []),
    ]
    while library.redo() is not None:
        pass
    assert contents(library) == ([QUICK], [reworded])
    assert library.redo_label is None


def test_the_same_words_again_are_no_step(tmp_path: Path) -> None:
    library, (steady,) = library_of(tmp_path / "references", STEADY)
    library.edit(steady, STEADY)
    assert library.undo_label is None


def test_what_fails_leaves_files_and_undo_as_they_were(tmp_path: Path) -> None:
    library, (steady,) = library_of(tmp_path / "references", STEADY)
    with pytest.raises(ReviewError, match="name"):
        library.edit(steady, replace(STEADY, name=" "))
    library.remove(steady)
    with pytest.raises(ReviewError, match="restore it"):
        library.edit(steady, QUICK)
    assert library.undo_label == "remove “Steady 20”"
    # Somebody emptied the folder of removed ones: undo says so, and nothing else happens.
    for file in (library.folder / "removed").iterdir():
        file.unlink()
    with pytest.raises(ReviewError, match="not among the removed"):
        library.undo()
    assert library.undo_label == "remove “Steady 20”"


def test_a_removed_stroke_is_named_as_such_where_it_is_asked_for(tmp_path: Path) -> None:
    library, (steady,) = library_of(tmp_path / "references", STEADY)
    library.remove(steady)
    with pytest.raises(ReviewError, match="taken out of the library; restore it"):
        read_reference(library.folder, steady)


@settings(max_examples=12, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["edit", "remove", "restore"]), st.integers(0, 1))))
def test_undoing_all_gives_the_library_as_it_was(
    tmp_path_factory: pytest.TempPathFactory, deeds: list[tuple[str, int]]
) -> None:
    library, ids = library_of(tmp_path_factory.mktemp("l") / "references", STEADY, QUICK)
    before = contents(library)
    for number, (deed, which) in enumerate(deeds):
        try:
            if deed == "edit":
                library.edit(ids[which], replace(STEADY, name=f"Name {number}"))
            elif deed == "remove":
                library.remove(ids[which])
            else:
                library.restore(ids[which])
        except ReviewError:
            pass  # it is not there to be removed, or there already
    after = contents(library)
    while library.undo() is not None:
        pass
    assert contents(library) == before
    while library.redo() is not None:
        pass
    assert contents(library) == after
