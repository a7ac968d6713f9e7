"""What a stranger may pack: nothing fills the disk or the memory, and nothing is left behind."""

from __future__ import annotations

import errno
import gzip
import io
import json
import os
import random
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from analysis.force import json_tables, packed
from analysis.force.intake import read_trace
from analysis.force.trace import TraceError
from tests.helpers.exports import as_json, csv, ods, rows, xlsx, zipped

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def sheet(body: str) -> bytes:
    return xlsx({"A": f'<worksheet xmlns="{MAIN}"><sheetData>{body}</sheetData></worksheet>'})


def with_strings_claimed(count: int) -> bytes:
    with zipfile.ZipFile(io.BytesIO(xlsx({"A": rows()[:40]}))) as book:
        files: dict[str, str | bytes] = {name: book.read(name) for name in book.namelist()}
    claim = f'<sst xmlns="{MAIN}" uniqueCount="{count}"><si><t>a</t></si></sst>'
    return zipped({**files, "xl/sharedStrings.xml": claim})


def with_a_text_shared(times: int) -> bytes:
    """A workbook of few bytes whose cells all say one long text."""
    cells = "".join(f"<row>{SHARED * 10}</row>" for _ in range(times // 10))
    with zipfile.ZipFile(io.BytesIO(sheet(cells))) as book:
        files: dict[str, str | bytes] = {name: book.read(name) for name in book.namelist()}
    text = f'<sst xmlns="{MAIN}"><si><t>{"A" * 100_000}</t></si></sst>'
    return zipped({**files, "xl/sharedStrings.xml": text})


def with_a_sheet_elsewhere(body: str) -> bytes:
    """A workbook that does not keep its sheet where sheets usually are."""
    with zipfile.ZipFile(io.BytesIO(sheet(body))) as book:
        files: dict[str, str | bytes] = {
            name.replace("worksheets/", "other/"): book.read(name).replace(
                b"worksheets/", b"other/"
            )
            for name in book.namelist()
        }
    return zipped(files)


def packed_by(method: int) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        archive.writestr("a.csv", csv())
    return out.getvalue()


LONG = (
    '<table:table-cell table:number-columns-repeated="8000" office:value-type="string"'
    f"><text:p>{'A' * 100_000}</text:p></table:table-cell>"
)
SHARED = '<c t="s"><v>0</v></c>'
ONE, FAR = "<c><v>1</v></c>", '<c r="XFD1048576"><v>1</v></c>'
WIDE = '<table:table-cell table:number-columns-repeated="{}" office:value-type="float" {}/>'
HOSTILE: dict[str, tuple[Callable[[], bytes], str]] = {
    "corner.xlsx": (lambda: sheet(f"<row>{ONE}</row><row>{FAR}</row>"), "too large"),
    "no-places.xlsx": (
        lambda: sheet(f'<row>{ONE * 9000}</row><row r="1048576">{ONE}</row>'),
        "too large",
    ),
    "shared.xlsx": (lambda: with_a_text_shared(8_000), "repeats a long text"),
    "elsewhere.xlsx": (
        lambda: with_a_sheet_elsewhere(f"<row>{ONE}</row><row>{FAR}</row>"),
        "too large",
    ),
    "repeated-text.ods": (
        lambda: ods(f"<table:table-row>{LONG}</table:table-row>"),
        "repeats a long text",
    ),
    "repeated-rows.ods": (
        lambda: ods(
            '<table:table-row table:number-rows-repeated="100">'
            + LONG.replace("8000", "80")
            + "</table:table-row>"
        ),
        "repeats a long text",
    ),
    "bzip2.zip": (lambda: packed_by(zipfile.ZIP_BZIP2), "packed in an unusual way"),
    "lzma.zip": (lambda: packed_by(zipfile.ZIP_LZMA), "packed in an unusual way"),
    "no-rows.json": (lambda: as_json({"columns": ["t", "F"], "data": [1, 2, 3, 4, 5]}), ""),
    "claim.xlsx": (lambda: with_strings_claimed(4_000_000_000), "claims more"),
    "repeated.ods": (
        lambda: ods(
            '<table:table-row table:number-rows-repeated="1048576">'
            + WIDE.format(16384, 'office:value="1"')
            + "</table:table-row>"
        ),
        "too large",
    ),
    "endless.ods": (
        lambda: ods(f"<table:table-row>{WIDE.format(4_000_000_000, '')}</table:table-row>"),
        "too large",
    ),
    "zeros.csv.gz": (lambda: gzip.compress(b"0;0\n" * 400_000), "unpacks to more"),
    "zeros.zip": (lambda: zipped({"a.csv": b"0;0\n" * 400_000}), "unpacks to more"),
    "deep.json": (lambda: b"[" * 100_000 + b"]" * 100_000, "damaged JSON"),
    "figures.json": (lambda: b'[{"a":' + b"9" * 100_000 + b"}]", "damaged JSON"),
    "many.zip": (lambda: zipped({f"{i}.csv": "" for i in range(2100)}), "2100 files"),
    "outside.zip": (lambda: zipped({"../../x.csv": csv()}), "could be a force recording"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_made_to_fill_the_machine_ends_in_a_sentence(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    content, says = HOSTILE[name]
    monkeypatch.setattr(packed, "MOST_BYTES", 1_000_000)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    (tmp_path / name).write_bytes(content())
    with pytest.raises(TraceError) as error:
        read_trace(tmp_path / name)
    assert says in str(error.value) and str(error.value).startswith(name)
    assert [p.name for p in tmp_path.iterdir()] == [name], "nothing is left"


def test_a_name_in_an_archive_leads_nowhere(tmp_path: Path) -> None:
    path = tmp_path / "sent.zip"
    path.write_bytes(zipped({"C:\\x\\/deep/er/a.csv": csv()}))
    assert len(read_trace(path).time_s) > 100
    assert [p.name for p in tmp_path.iterdir()] == ["sent.zip"]


def test_a_sheet_with_empty_rows_and_columns_to_its_end_is_read(tmp_path: Path) -> None:
    """As spreadsheet programs write them: formats reach farther than numbers."""
    filled = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="float" office:value="{cell}"/>'
            if not isinstance(cell, str)
            else f'<table:table-cell office:value-type="string"><text:p>{cell}'
            "</text:p></table:table-cell>"
            for cell in row
        )
        + '<table:table-cell table:number-columns-repeated="16380"/></table:table-row>'
        for row in rows()
    )
    empty = (
        '<table:table-row table:number-rows-repeated="1048000"><table:table-cell '
        'table:number-columns-repeated="16384"/></table:table-row>'
    )
    (tmp_path / "f.csv").write_bytes(csv())
    (tmp_path / "f.ods").write_bytes(ods(filled + empty))
    assert len(read_trace(tmp_path / "f.ods").time_s) == len(read_trace(tmp_path / "f.csv").time_s)


def test_damaged_files_are_read_or_refused(tmp_path: Path) -> None:
    rng = random.Random(3)
    small = rows()[:60]
    for name, content in (
        ("a.xlsx", xlsx({"A": small})), ("a.ods", ods(small)), ("a.csv.gz", gzip.compress(csv())),
        ("a.zip", zipped({"a.csv": csv()})),
        ("a.json", as_json([{"time_s": t / 50, "force_n": t % 40} for t in range(100)])),
    ):  # fmt: skip
        for _ in range(8):
            broken = bytearray(content)
            for _ in range(rng.randint(1, 5)):
                broken[rng.randrange(len(broken))] = rng.randrange(256)
            (tmp_path / name).write_bytes(broken[: rng.choice((len(broken), len(broken) // 2))])
            try:
                read_trace(tmp_path / name)
            except TraceError as error:
                assert "\n" not in str(error)


def test_half_a_character_in_json_costs_no_other(tmp_path: Path) -> None:
    times = [f"{i / 100:.2f}" for i in range(300)]
    samples = ({"time_s": float(t), "force_N": 100.0, "note": "\ud800"} for t in times)
    (tmp_path / "f.json").write_bytes(as_json(list(samples)))
    with packed.unpacked(tmp_path / "f.json") as found:
        lines = found.path.read_text("utf-8").splitlines()
    assert len(lines) == 301 and lines[1].split("\t")[0] == "0"


def test_json_of_more_parts_than_memory_holds_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(json_tables, "MOST_PARTS", 1000)
    (tmp_path / "f.json").write_bytes(b"[" + b"[]," * 1000 + b"[]]")
    with pytest.raises(TraceError, match="more parts"):
        read_trace(tmp_path / "f.json")


def test_a_name_as_long_as_can_be_is_read(tmp_path: Path) -> None:
    path = tmp_path / ("n" * 250 + ".zip")
    path.write_bytes(zipped({"a.json": as_json([[i / 50, i % 60] for i in range(500)])}))
    with packed.unpacked(path) as found:
        assert len(found.path.read_text().splitlines()) == 500


def test_a_full_disk_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*args: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(packed, "_copy", full)
    (tmp_path / "f.zip").write_bytes(zipped({"a.csv": csv()}))
    with pytest.raises(TraceError, match="no room on the disk"):
        read_trace(tmp_path / "f.zip")


def test_a_damaged_directory_of_an_archive_is_said(tmp_path: Path) -> None:
    """Each byte of the directory in turn; some lead to before the beginning of the file."""
    whole = zipped({"a.csv": csv()})
    for at in range(whole.rindex(b"PK\x01\x02"), len(whole)):
        for value in (0x00, 0xD8, 0xFF):
            (tmp_path / "f.zip").write_bytes(whole[:at] + bytes([value]) + whole[at + 1 :])
            try:
                with packed.unpacked(tmp_path / "f.zip"):
                    pass
            except TraceError as error:
                assert "f.zip" in str(error)


def test_a_quote_in_a_cell_takes_no_rows_with_it(tmp_path: Path) -> None:
    rows = [{"note": "", "time_s": i / 100, "force_n": 300 + i % 7} for i in range(400)]
    rows[20]["note"], rows[300]["note"] = '"odd', 'odd"'
    sent = tmp_path / "sent.json"
    sent.write_text(json.dumps(rows))
    assert len(read_trace(sent).time_s) == 400


def test_a_second_of_the_epoch_keeps_its_thousandths_in_json(tmp_path: Path) -> None:
    rows = [{"time_s": 1_764_422_886 + i / 200, "force_n": 300.5 + i % 7} for i in range(400)]
    sent = tmp_path / "sent.json"
    sent.write_text(json.dumps(rows))
    trace = read_trace(sent)
    assert np.abs(trace.time_s - np.arange(400) / 200).max() < 2e-5


def test_a_table_that_grows_past_every_recording_as_text_is_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(packed, "MOST_BYTES", 1000)
    sent = tmp_path / "sent.json"
    sent.write_text(json.dumps([{"time_s": i / 200, "force_n": 300.5} for i in range(400)]))
    with pytest.raises(TraceError, match="more than any force recording"):
        read_trace(sent)


@pytest.mark.parametrize("name", ["gone.json", "gone.csv.gz", "gone.zip"])
def test_a_file_that_is_not_there_is_called_so(tmp_path: Path, name: str) -> None:
    with pytest.raises(TraceError, match=r"There is no file .*; check its name and folder"):
        read_trace(tmp_path / name)
