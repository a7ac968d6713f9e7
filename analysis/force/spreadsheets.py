"""Spreadsheets as text tables: .xlsx, .xlsm, .ods and .xls, the sheet that holds the numbers.

The library lays a sheet out in memory as a full rectangle, so one cell in the far corner would ask
for all of it: the corner is looked for first, in what was unpacked under a count of bytes.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, time, timedelta
from itertools import islice, pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from analysis.force.trace import TraceError

if TYPE_CHECKING:
    from python_calamine import CalamineWorkbook

OLD_OFFICE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
MOST_CELLS: Final = 6_000_000  # an hour at 200 Hz in eight columns
MOST_TEXT: Final = 1 << 29  # bytes of cells that repeat one text, each of which gets its own
MOST_SHEETS: Final = 60
MOST_OLD_BYTES: Final = 64 * 2**20
LOOK_ROWS: Final = 400
CHUNK: Final = 1 << 20
FEWEST_ROWS: Final = 20  # of numbers, in a sheet that may be a recording
CLEARLY: Final = 5  # times as many rows as any other sheet
NAMED: Final = 5

_OPEN_DOCUMENT: Final = {"content.xml", "mimetype"}
# Rows and cells of both kinds of sheet; what stands between them says nothing of their number.
_TAG: Final = re.compile(
    rb"<(?:\w+:)?(row|c|sheetData|table|table-row|table-cell|covered-table-cell)(?=[\s/>])([^>]*)>"
)
_PLACE: Final = re.compile(rb"""\sr=["']([A-Z]{0,8})(\d{1,18})["']""")
_REPEATED: Final = re.compile(rb"""number-(?:rows|columns)-repeated=["'](\d{1,18})["']""")
_SHARED: Final = re.compile(rb"""\st\s*=\s*["']s["']""")
_STRING: Final = re.compile(rb"<(?:\w+:)?si(?=[\s/>])")
# Numbers that the library makes room for before it has seen a thing.
_COUNT: Final = re.compile(rb"""[cC]ount\s*=\s*["']\s*\+?0*[1-9]\d{7}""")
MOST_ROWS, MOST_COLUMNS = 1 << 20, 1 << 14
_OVERLAP: Final = 4096
_AGAIN: Final = "save the sheet with the samples as .xlsx or .csv and send that"
Text = tuple[Iterator[str], tuple[str, ...]]


def is_spreadsheet(names: set[str]) -> bool:
    """Whether the members of a zip archive are those of an office document."""
    return "[Content_Types].xml" in names or names >= _OPEN_DOCUMENT or "Index.zip" in names


def table_of_spreadsheet(
    archive: zipfile.ZipFile, names: set[str], folder: Path, name: str, take: Callable[[int], None]
) -> Text:
    """Give the sheet of a spreadsheet that holds a recording, as lines parted by tabs.

    Parameters
    ----------
    folder : where what was unpacked may lie meanwhile
    take : told of every byte that is unpacked; raises where it is too much

    Raises
    ------
    TraceError
        It is no spreadsheet that can be read, or too large.
    """
    if "xl/workbook.xml" in names:
        wanted = re.compile(r"(xl|_rels|docProps)/.*\.(xml|rels)|\[Content_Types\]\.xml")
    elif names >= _OPEN_DOCUMENT:
        wanted = re.compile(r"content\.xml|mimetype|styles\.xml|META-INF/manifest\.xml")
    else:
        kind = "a binary spreadsheet" if "xl/workbook.bin" in names else "an office document"
        raise TraceError(f"{name} is {kind}, which is not read here; {_AGAIN}.")
    plain = folder / "sheets.zip"
    reach = _Reach(name)
    # Written anew: what a header says of a size the library need not believe then.
    with zipfile.ZipFile(plain, "w", zipfile.ZIP_STORED) as copy:
        for member in archive.infolist():
            if not wanted.fullmatch(member.filename):
                continue
            if member.flag_bits & 1:
                raise TraceError(f"{name} is locked with a password; send it without one.")
            with archive.open(member) as source, copy.open(member.filename, "w") as out:
                while chunk := source.read(CHUNK):
                    take(len(chunk))
                    out.write(chunk)
                    reach.look(chunk)
            reach.end()
    return _table(plain, name)


class _Reach:
    """Follows what the members of a spreadsheet ask for, whatever they are called."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._shared = self._longest = 0
        self.end()

    def end(self) -> None:
        """Be done with a member."""
        self._corner, self._tail, self._since = _Corner(self._name), b"", 0

    def look(self, chunk: bytes) -> None:
        """Take a chunk; raises TraceError where more is asked for than there can be."""
        if _COUNT.search(self._tail + chunk):
            raise TraceError(f"{self._name} claims more than any sheet holds; {_AGAIN}.")
        self._tail = chunk[-64:]
        before = self._corner.shared
        self._corner.look(chunk)
        self._shared += self._corner.shared - before
        self._strings(chunk)
        if max(self._shared * self._longest, self._corner.repeated) > MOST_TEXT:
            raise TraceError(
                f"{self._name} repeats a long text in more cells than are read; {_AGAIN}."
            )

    def _strings(self, chunk: bytes) -> None:
        """Follow the longest of the texts that cells share."""
        places = [tag.start() for tag in _STRING.finditer(chunk)]
        if not places:
            self._since += len(chunk) if self._since else 0
        else:
            lengths = [b - a for a, b in pairwise((*places, len(chunk)))]
            before = self._since + places[0] if self._since else 0
            self._longest = max(self._longest, before, *lengths)
            self._since = lengths[-1]
        self._longest = max(self._longest, self._since)


class _Corner:
    """Follows how far the cells of a sheet reach, chunk by chunk."""

    def __init__(self, name: str) -> None:
        self._name, self._rest = name, b""
        self._rows = self._columns = 0
        self._row = self._column = 0  # where it stands
        self.shared = 0  # cells with a text that others may share
        self._done, self._text = 0, 0  # bytes taken; of repeated cells
        self._begun, self._times, self._rows_times = 0, 0, 1  # the last cell; how often; its row

    def look(self, chunk: bytes) -> None:
        """Take a chunk of the sheet's text; raises TraceError where it reaches too far."""
        text = self._rest + chunk
        cut = text.rfind(b"<")
        cut = len(text) if cut < 0 or cut < len(text) - _OVERLAP else cut
        for tag in _TAG.finditer(text[:cut]):
            at = self._done + tag.start()
            self._text += self._times * (at - self._begun)
            self._begun, self._times = at, 0
            self._take(tag[1], tag[2])
        self._done += cut
        self._rest = text[cut:]

    @property
    def repeated(self) -> int:
        """Bytes of cells that stand for several."""
        return self._text + self._times * (self._done + len(self._rest) - self._begun)

    def _take(self, kind: bytes, attributes: bytes) -> None:
        if kind in (b"table", b"sheetData"):
            self._row = self._column = self._rows = self._columns = 0
        elif kind == b"row":
            place = _PLACE.search(attributes)
            self._row, self._column = int(place[2]) if place else self._row + 1, 0
        elif kind == b"c":
            place = _PLACE.search(attributes)
            self._column = _number(place[1]) if place else self._column + 1
            self._reach(int(place[2]) if place else self._row, self._column)
            self.shared += _SHARED.search(attributes) is not None
        else:
            self._open_document(kind, attributes)

    def _open_document(self, kind: bytes, attributes: bytes) -> None:
        said = _REPEATED.search(attributes)
        count = int(said[1]) if said else 1
        if count > (MOST_ROWS if kind == b"table-row" else MOST_COLUMNS):
            self._refuse()
        if kind == b"table-row":
            self._row, self._column, self._rows_times = self._row + count, 0, count
        else:
            self._column += count
            if b"office:" in attributes:
                self._reach(self._row, self._column)
                times = count * self._rows_times
                self._times = times if times > 1 else 0

    def _reach(self, row: int, column: int) -> None:
        self._rows, self._columns = max(self._rows, row), max(self._columns, column)
        if self._rows * self._columns > MOST_CELLS:
            self._refuse()

    def _refuse(self) -> None:
        raise TraceError(
            f"{self._name} has a sheet that reaches to row {max(self._rows, self._row)} and column "
            f"{max(self._columns, self._column)}, too large to be read; save the columns of the "
            "recording as .csv."
        )


def _number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + letter - 64
    return number


def table_of_old_spreadsheet(path: Path, name: str) -> Text:
    """Give the sheet of an .xls file, which can hold 65,536 rows at most, as `_table`."""
    if path.stat().st_size > MOST_OLD_BYTES:
        raise TraceError(f"{name} is too large for its kind; save it as .xlsx or .csv.")
    return _table(path, name)


def _table(path: Path, name: str) -> Text:
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        book = CalamineWorkbook.from_path(str(path))
        titles = _sheets(book)
        chosen = _recording(book, titles, name)
    except TraceError:
        raise
    except (CalamineError, OSError, ValueError):
        raise _damaged(name) from None
    except BaseException as error:
        # What stops the library in the middle of a damaged file is no Exception.
        if type(error).__name__ != "PanicException":
            raise
        raise _damaged(name) from None
    remark = f"Of {len(titles)} sheets, “{_plain(chosen)}” was read."
    rows = book.get_sheet_by_name(chosen).iter_rows()
    return _lines(rows), ((remark,) if len(titles) > 1 else ())


def _damaged(name: str) -> TraceError:
    return TraceError(
        f"{name} is a spreadsheet or office document that could not be opened: it is damaged, "
        f"locked with a password, or holds no sheet; {_AGAIN}."
    )


def _sheets(book: CalamineWorkbook) -> list[str]:
    from python_calamine import SheetTypeEnum

    return [
        sheet.name for sheet in book.sheets_metadata if sheet.typ == SheetTypeEnum.WorkSheet
    ][:MOST_SHEETS]  # fmt: skip


def _recording(book: CalamineWorkbook, titles: Sequence[str], name: str) -> str:
    """The title of the only sheet with rows of numbers, or of the one with by far the most."""
    counts = []
    for title in titles:
        sheet = book.get_sheet_by_name(title)
        looked = list(islice(sheet.iter_rows(), LOOK_ROWS))
        numbers = sum(any(_is_number(cell) for cell in row) for row in looked)
        counts.append((sheet.height if numbers >= FEWEST_ROWS else 0, title))
    held = sorted((count for count in counts if count[0]), reverse=True)
    if not held:
        if len(titles) == 1:
            return titles[0]  # reading it says what is missing
        raise TraceError(
            f"{name} is a spreadsheet without a sheet of samples; export the force over time, not "
            "its summary."
        )
    if len(held) > 1 and held[0][0] < CLEARLY * held[1][0]:
        listed = ", ".join(f"“{_plain(title)}”" for _, title in held[:NAMED])
        raise TraceError(
            f"{name} has {len(held)} sheets with rows of numbers ({listed}); save the one with the "
            "handle force as .csv or in a spreadsheet of its own."
        )
    return held[0][1]


def _is_number(cell: Any) -> bool:
    return isinstance(cell, int | float | timedelta | time | datetime) and cell is not True


def _lines(rows: Iterator[list[Any]]) -> Iterator[str]:
    return ("\t".join(_cell(cell) for cell in row) + "\n" for row in rows)


def _cell(cell: Any) -> str:
    if isinstance(cell, bool) or cell is None:
        return ""
    if isinstance(cell, float):
        return f"{cell:.15g}"
    if isinstance(cell, timedelta):
        return f"{cell.total_seconds():.6f}"
    if isinstance(cell, datetime | date | time):
        return cell.isoformat()
    return _plain(str(cell))


def _plain(text: str) -> str:
    # A quote would take all up to the next one, rows below, for one cell.
    return " ".join(text.replace('"', " ").split())
