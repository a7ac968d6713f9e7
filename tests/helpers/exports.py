"""Small files as people export them: spreadsheets, archives, JSON, tables of many layouts.

Written by hand, so that what is read is held against nothing that reads it. Each says what is to
become of it: opened with the force that was rowed, asked, or refused.
"""

from __future__ import annotations

import gzip
import io
import json
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from tests.helpers.drawn_pieces import beta, drawn, lopsided, row_of

PIECE = drawn(row_of(6, rate_spm=24.0, peak_n=640.0), beta, hz=50.0, noise_n=1.0)
TIME_S, FORCE_N, POSITION_M = PIECE.time_s, PIECE.force_n, PIECE.position_m
CURVES = [
    (580.0 + 15.0 * k) * lopsided(np.linspace(0.0, 1.0, 44 + k % 3)) for k in range(7)
]  # one stroke each, 20 ms apart
Cell = str | float | None


@dataclass(frozen=True)
class Export:
    """One file.

    Attributes
    ----------
    name, content : as it is sent
    fate : "opened", "asked" or "refused"
    says : words of the question or the refusal, or of a remark
    answer : options that answer what is asked
    force_n : what has to be read; None where it is refused
    """

    name: str
    content: bytes
    fate: str
    says: tuple[str, ...] = ()
    answer: tuple[tuple[str, str], ...] = ()
    force_n: NDArray[np.float64] | None = None


def sheet_xml(rows: Sequence[Sequence[Cell]]) -> str:
    """Rows as the sheet of an .xlsx, texts in line."""
    lines = []
    for r, row in enumerate(rows, start=1):
        cells = []
        for c, cell in enumerate(row):
            place = f'r="{chr(65 + c)}{r}"'
            if isinstance(cell, str):
                cells.append(f'<c {place} t="inlineStr"><is><t>{cell}</t></is></c>')
            elif cell is not None:
                cells.append(f"<c {place}><v>{cell!r}</v></c>")
        lines.append(f'<row r="{r}">{"".join(cells)}</row>')
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return f'<worksheet xmlns="{main}"><sheetData>{"".join(lines)}</sheetData></worksheet>'


def xlsx(sheets: dict[str, Sequence[Sequence[Cell]] | str]) -> bytes:
    """A spreadsheet of these sheets; a text stands for a sheet's own XML."""
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    names = list(sheets)
    files = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types">'
        '<Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{kind}.sheet.main+xml"/>'
        + "".join(
            f'<Override PartName="/xl/worksheets/sheet{i}.xml" ContentType="{kind}.worksheet+xml"/>'
            for i in range(1, len(names) + 1)
        )
        + "</Types>",
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="rId1" '
        f'Type="{office}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{office}"><sheets>'
        + "".join(
            f'<sheet name="{n}" sheetId="{i}" r:id="rId{i}"/>' for i, n in enumerate(names, start=1)
        )
        + "</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships">'
        + "".join(
            f'<Relationship Id="rId{i}" Type="{office}/worksheet" '
            f'Target="worksheets/sheet{i}.xml"/>'
            for i in range(1, len(names) + 1)
        )
        + "</Relationships>",
    }
    for i, name in enumerate(names, start=1):
        rows = sheets[name]
        files[f"xl/worksheets/sheet{i}.xml"] = rows if isinstance(rows, str) else sheet_xml(rows)
    return zipped(files)


def ods(rows: Sequence[Sequence[Cell]] | str) -> bytes:
    """A spreadsheet in open document format."""
    name = "urn:oasis:names:tc:opendocument:xmlns:"
    body = rows if isinstance(rows, str) else "".join(map(_ods_row, rows))
    content = (
        f'<office:document-content xmlns:office="{name}office:1.0" xmlns:table="{name}table:1.0" '
        f'xmlns:text="{name}text:1.0"><office:body><office:spreadsheet>'
        f'<table:table table:name="Force">{body}</table:table></office:spreadsheet></office:body>'
        "</office:document-content>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    manifest = f'<manifest:manifest xmlns:manifest="{name}manifest:1.0"/>'
    return zipped({"mimetype": kind, "content.xml": content, "META-INF/manifest.xml": manifest})


def _ods_row(row: Sequence[Cell]) -> str:
    cells = [
        f'<table:table-cell office:value-type="string"><text:p>{c}</text:p></table:table-cell>'
        if isinstance(c, str)
        else f'<table:table-cell office:value-type="float" office:value="{c!r}">'
        f"<text:p>{c!r}</text:p></table:table-cell>"
        for c in row
    ]
    return f"<table:table-row>{''.join(cells)}</table:table-row>"


def zipped(files: dict[str, str | bytes]) -> bytes:
    """Files in a zip archive."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return out.getvalue()


def text(
    columns: Sequence[Sequence[str]], header: str = "", between: str = ";", above: str = ""
) -> bytes:
    """A delimited table."""
    lines = [*above.splitlines(), *([header] if header else [])]
    lines += [between.join(row) for row in zip(*columns, strict=True)]
    return ("\n".join(lines) + "\n").encode("utf-8")


def fixed(values: NDArray[np.float64], digits: int = 3) -> list[str]:
    """Numbers with so many decimals."""
    return [f"{value:.{digits}f}" for value in values]


def clock(form: Callable[[timedelta], str], start: timedelta = timedelta()) -> list[str]:
    """The piece's clock, written somehow."""
    return [form(start + timedelta(microseconds=round(1e6 * t))) for t in TIME_S.tolist()]


def hms(at: timedelta) -> str:
    """10:00:01.23, as a logger writes it."""
    seconds = at.total_seconds()
    return f"{int(seconds // 3600):02d}:{int(seconds // 60) % 60:02d}:{seconds % 60:05.2f}"


def rows() -> list[list[Cell]]:
    """The piece as a spreadsheet has it."""
    pairs = zip(TIME_S.tolist(), FORCE_N.tolist(), strict=True)
    return [["Time (s)", "Force (N)"], *([round(t, 3), round(f, 2)] for t, f in pairs)]


def csv(unit: str = "N", factor: float = 1.0, digits: int = 4) -> bytes:
    """The piece as text, force in some unit."""
    return text((fixed(TIME_S), fixed(FORCE_N * factor, digits)), f"time (s);force ({unit})")


def iso(at: timedelta) -> str:
    """A date with a time."""
    return (datetime(2024, 3, 1, 9, 59, 50) + at).isoformat(timespec="milliseconds") + "Z"


def as_json(value: object) -> bytes:
    """A value as JSON."""
    return json.dumps(value).encode("utf-8")


def packed(content: bytes) -> bytes:
    """Content as gzip has it."""
    return gzip.compress(content)
