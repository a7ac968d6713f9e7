from pathlib import Path

import pytest

from app.submission.kinds import kind_of, recordings_in


@pytest.mark.parametrize(
    ("name", "content", "kind"),
    [
        ("force.csv", b"\0\0\0\x20ftyp", "trace"),
        ("force.mp4", b"time,force\n0,1\n", "trace"),
        ("force", "zeit;kraft\n0,1;2\n".encode("latin-1"), "trace"),
        ("force", b"\xff\xfet\0i\0m\0e\0", "trace"),
        ("film", b"\0\0\0\x20ftypisom" + bytes(range(256)), "video"),
        ("film.mov", b"", "video"),
        ("force.xlsx", b"PK\x03\x04", "trace"),
        ("sent", b"\x1f\x8b\x08" + bytes(range(40)), "trace"),
        ("old", b"\xd0\xcf\x11\xe0" + bytes(40), "trace"),
    ],
)
def test_footage_is_told_from_force(tmp_path: Path, name: str, content: bytes, kind: str) -> None:
    (tmp_path / name).write_bytes(content)
    assert kind_of(tmp_path / name) == kind
    assert kind_of(tmp_path / "gone.mov") == "video"


def test_of_a_folder_only_what_can_be_opened_is_given(tmp_path: Path) -> None:
    for name in (
        "b.MOV",
        "a.csv",
        "._a.csv",
        "d.xlsx",
        "feedback.zip",
        "letter.pdf",
        "c.review",
        ".hidden.mp4",
    ):
        (tmp_path / name).touch()
    (tmp_path / "deeper.mp4").mkdir()
    (tmp_path / "deeper").mkdir()
    (tmp_path / "deeper" / "film.mp4").touch()
    assert [p.name for p in recordings_in(tmp_path)] == ["a.csv", "b.MOV", "c.review", "d.xlsx"]


def test_a_link_to_itself_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("1")
    (tmp_path / "self.csv").symlink_to(tmp_path / "self.csv")
    assert [p.name for p in recordings_in(tmp_path)] == ["a.csv"]


def test_of_a_very_full_folder_as_many_are_given_as_wanted(tmp_path: Path) -> None:
    for n in range(12):
        (tmp_path / f"{n}.csv").touch()
    assert len(recordings_in(tmp_path, 5)) == 5 and len(recordings_in(tmp_path, 12)) == 12
