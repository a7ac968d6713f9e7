import hashlib
import os
from dataclasses import replace
from pathlib import Path

import pytest

from analysis.force.trace import ColumnMapping
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingAccess, changed, find_again, locate, rebase, refer
from app.review.values.errors import ReviewError

# FIPS 180-2, appendix B.1 and the one-million-"a" example of appendix B.3.
ABC_SHA256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
MILLION_A_SHA256 = "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"


def written(path: Path, content: bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return path


def test_a_recording_is_known_by_size_and_hash(tmp_path: Path) -> None:
    review = tmp_path / "a.review"
    mapping = ColumnMapping(1, "N")
    ref = refer(written(tmp_path / "abc", b"abc"), "trace", review, mapping)
    assert (ref.kind, ref.size, ref.sha256, ref.mapping) == ("trace", 3, ABC_SHA256, mapping)
    ref = refer(written(tmp_path / "many", b"a" * 10**6), "video", review)
    assert (ref.size, ref.sha256) == (10**6, MILLION_A_SHA256)


def test_a_file_of_several_chunks(tmp_path: Path) -> None:
    content = os.urandom((1 << 20) * 2 + 17)
    ref = refer(written(tmp_path / "big", content), "video", tmp_path / "a.review")
    assert ref.sha256 == hashlib.sha256(content).hexdigest()


def test_near_paths_are_relative_and_far_ones_absolute(tmp_path: Path) -> None:
    review = tmp_path / "a" / "b" / "c" / "x.review"
    review.parent.mkdir(parents=True)
    for place, stored in (
        ("a/b/c/films/été 1.mp4", "films/été 1.mp4"),
        ("a/film.mp4", "../../film.mp4"),
        ("film.mp4", (tmp_path / "film.mp4").as_posix()),
    ):
        path = written(tmp_path / place, b"x")
        ref = refer(path, "video", review)
        assert ref.path == stored
        here = path.is_relative_to(review.parent)
        assert locate(ref, review) == (path if here else None), "outside nobody chose it"
        assert locate(ref, review, RecordingAccess().naming(path)) == path


def test_folder_moved_as_a_whole_needs_no_search(tmp_path: Path) -> None:
    review = tmp_path / "old" / "a.review"
    ref = refer(written(tmp_path / "old" / "in" / "f.csv", b"1"), "trace", review)
    (tmp_path / "old").rename(tmp_path / "new")
    assert locate(ref, review) is None
    assert locate(ref, tmp_path / "new" / "a.review") == tmp_path / "new" / "in" / "f.csv"


def test_relative_review_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    path = written(Path("f.csv"), b"1")
    ref = refer(path, "trace", Path("a.review"))
    assert ref.path == "f.csv"
    assert locate(ref, Path("a.review")) == tmp_path / "f.csv"


def test_a_changed_file_is_noticed(tmp_path: Path) -> None:
    path = written(tmp_path / "f.csv", b"12345")
    ref = refer(path, "trace", tmp_path / "a.review")
    assert not changed(ref, path)
    assert changed(ref, written(path, b"12346")), "same size, other content"
    assert changed(ref, written(path, b"123456"))
    with pytest.raises(ReviewError, match="no file gone"):
        changed(ref, tmp_path / "gone")


def test_found_again_by_content_under_another_name(tmp_path: Path) -> None:
    ref = refer(written(tmp_path / "f.csv", b"12345"), "trace", tmp_path / "a.review")
    (tmp_path / "f.csv").unlink()
    written(tmp_path / "search" / "f.csv", b"54321")
    right = written(tmp_path / "search" / "deep" / "renamed.txt", b"12345")
    assert find_again(ref, tmp_path / "search") == right
    assert find_again(replace(ref, sha256="0" * 64), tmp_path / "search") is None
    assert find_again(ref, tmp_path / "nowhere") is None
    assert find_again(ref, tmp_path / "search", cancelled=lambda: True) is None


def test_the_old_name_is_looked_at_first(tmp_path: Path) -> None:
    ref = refer(written(tmp_path / "z.csv", b"12345"), "trace", tmp_path / "a.review")
    written(tmp_path / "a.csv", b"12345")
    assert find_again(ref, tmp_path) == tmp_path / "z.csv"


def test_what_cannot_be_referred_to(tmp_path: Path) -> None:
    review = tmp_path / "a.review"
    with pytest.raises(ReviewError, match="is empty"):
        refer(written(tmp_path / "empty.mp4", b""), "video", review)
    with pytest.raises(ReviewError, match="is a folder"):
        refer(tmp_path, "video", review)
    with pytest.raises(ReviewError, match="no file gone"):
        refer(tmp_path / "gone", "video", review)
    with pytest.raises(ReviewError, match="cancelled"):
        refer(written(tmp_path / "f", b"1"), "video", review, cancelled=lambda: True)


@pytest.mark.skipif(os.name != "posix", reason="names of this system are always text")
def test_a_name_that_is_no_text(tmp_path: Path) -> None:
    name = os.fsdecode(b"f\xff.csv")
    with pytest.raises(ReviewError, match="no text; rename"):
        refer(written(tmp_path / name, b"1"), "trace", tmp_path / "a.review")


def test_a_state_seen_from_another_place(tmp_path: Path) -> None:
    old, new = tmp_path / "a.review", tmp_path / "sub" / "b.review"
    video = refer(written(tmp_path / "v.mp4", b"1"), "video", old)
    moved = rebase(ReviewState(video=video), old, new)
    assert moved.video is not None and moved.video.path == "../v.mp4"
    assert locate(moved.video, new, RecordingAccess(stored_places=True)) == tmp_path / "v.mp4"
    assert rebase(ReviewState(), old, new) == ReviewState()
