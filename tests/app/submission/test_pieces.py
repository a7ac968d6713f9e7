"""A force recording is cut once in a process, and never mistaken for another."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from analysis.force.trace import ColumnMapping, ForceTrace, TraceError
from app.submission import pieces
from app.submission.pieces import forget_pieces, piece_of
from tests.helpers.pieces import FOUR_STROKES

IN_KGF = ColumnMapping(1, "kgf", 0, "s")


@pytest.fixture(autouse=True)
def nothing_at_hand() -> Iterator[None]:
    forget_pieces()
    yield
    forget_pieces()


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    from analysis.force import intake

    read, named = intake.read_trace, []

    def counted(path: Path, mapping: ColumnMapping | None = None) -> ForceTrace:
        named.append(path.name)
        return read(path, mapping)

    monkeypatch.setattr(intake, "read_trace", counted)
    return named


@pytest.fixture
def force(tmp_path: Path) -> Path:
    path = tmp_path / "a.csv"
    FOUR_STROKES.write(path)
    return path


def test_the_same_content_is_cut_once_whatever_its_name(force: Path, reads: list[str]) -> None:
    twin = force.with_name("b.csv")
    twin.write_bytes(force.read_bytes())
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(piece_of, [force, twin] * 4))
    assert all(piece is found[0] for piece in found)
    assert len(reads) == 1


def test_another_reading_of_the_columns_is_another_piece(force: Path, reads: list[str]) -> None:
    plain, heavy = piece_of(force), piece_of(force, IN_KGF)
    assert heavy.measures[0].peak_n == pytest.approx(9.80665 * (plain.measures[0].peak_n or 0.0))
    assert piece_of(force, IN_KGF) is heavy and len(reads) == 2


def test_what_was_written_to_is_read_anew(force: Path) -> None:
    before = piece_of(force)
    rows = force.read_text("utf-8").splitlines()
    force.write_text("\n".join(rows[: len(rows) // 2]) + "\n", "utf-8")
    assert len(piece_of(force).trace.time_s) < len(before.trace.time_s)


def test_a_file_that_changes_while_it_is_read_is_not_kept(
    force: Path, reads: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    real = pieces._cut
    monkeypatch.setattr(
        pieces, "_cut", lambda p, m: (real(p, m), p.write_text(p.read_text() + "\n"))[0]
    )
    first = force.read_bytes()
    piece_of(force)
    force.write_bytes(first)
    monkeypatch.undo()
    assert pieces._kept == {}


def test_only_so_many_are_at_hand(force: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pieces, "MOST_SAMPLES", 2 * len(piece_of(force).trace.time_s))
    for i in range(4):
        other = force.with_name(f"{i}.csv")
        other.write_text(force.read_text("utf-8") + "\n" * i, "utf-8")
        piece_of(other)
    assert len(pieces._kept) == 2


@pytest.mark.parametrize("name", ["gone.csv", "."])
def test_what_cannot_be_read_is_said_by_who_reads(tmp_path: Path, name: str) -> None:
    with pytest.raises((TraceError, OSError)):
        piece_of(tmp_path / name)
