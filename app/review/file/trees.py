"""Gathering a damaged file's rows: along its trees, then from pages no tree leads to."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Final

from app.review.file.pages import TABLE_INTERIOR, TABLE_LEAF, Cell, PageFile, Value
from app.review.file.shapes import Shapes

_MOST_ROWS: Final = 2_000_000
_MOST_GAPS: Final = 5_000
_MOST_CARVED: Final = 2_000  # pages searched byte by byte, some milliseconds each
_LIST_TYPES: Final = ("T", "T", "T", "I", "TN")  # the columns of the list of tables
_FEWEST_FITTING: Final = 0.5
_SAMPLE: Final = 8  # rows of a page that are held against a table
_Row = tuple[int, Sequence[Value]]
_Rows = dict[int, Sequence[Value]]


@dataclass(frozen=True)
class Gap:
    """A page of a table that could not be read, and the rowids it held: (low, high]."""

    table: str
    page: int
    low: int
    high: int | None


@dataclass
class Found:
    """What was gathered.

    Attributes
    ----------
    rows : per table, the stored values by rowid
    lost : about how many rows of a table are missing
    cut : how many came back with their last text cut short
    unsure : tables of which nobody can say how many rows are missing
    untold : tables of which nothing came back, and nothing says that there was anything
    unknown : rows that no table or more than one would take
    lost_list : whether the file's own list of tables was damaged
    """

    rows: dict[str, _Rows]
    lost: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    cut: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    unsure: set[str] = field(default_factory=set)
    untold: set[str] = field(default_factory=set)
    unknown: int = 0
    lost_list: bool = False


def gather(file: PageFile, shapes: Shapes) -> Found:
    """Gather all rows of the tables asked for; every page is read once or twice."""
    return _Gathering(file, shapes).run()


class _Gathering:
    def __init__(self, file: PageFile, shapes: Shapes) -> None:
        self.file, self.shapes = file, shapes
        self.found = Found({name: {} for name in shapes.of})
        self.seen: set[int] = {1}
        self.gaps: list[Gap] = []
        self.bad: dict[str, int] = defaultdict(int)
        self.leaves: dict[str, int] = defaultdict(int)
        self.carved_pages = 0
        self.rows_left = _MOST_ROWS
        self.bytes_left = 2 * file.size * file.count + 1_000_000

    def run(self) -> Found:
        listed = self._listed_roots()
        guessed = self.shapes.roots(self.file.size)
        missing = [name for name in self.shapes.of if name not in listed]
        # A list that ends before its time is damaged; one of an older version is only shorter.
        self.found.lost_list = self.found.lost_list or not listed
        for name in self.shapes.of:
            if name in listed:
                self._walk(name, listed[name])
        if self.found.lost_list:
            for name in missing:
                if name in guessed:
                    self._walk_guessed(name, guessed[name])
        if self.gaps or self.found.lost_list:
            self._take_orphans()
        self._carve()
        self._count()
        if self.found.lost_list:
            self.found.untold = {name for name in missing if not self.found.rows[name]}
        return self.found

    def _listed_roots(self) -> dict[str, int]:
        """Read the list of tables: its tree, and where that is broken any page that looks so."""
        roots: dict[str, int] = {}
        leaves, stack = list[int](), [1]
        while stack:
            number = stack.pop()
            self.seen.add(number)
            kind = self.file.kind(number)
            if kind == TABLE_INTERIOR:
                stack += [n for n, _ in self.file.children(number) if n not in self.seen]
            elif kind == TABLE_LEAF:
                leaves.append(number)
            else:
                self.found.lost_list = True
        for number in leaves:
            self._list_page(number, roots)
        if self.found.lost_list:
            for number in range(2, self.file.count + 1):
                if number not in self.seen and self.file.kind(number) == TABLE_LEAF:
                    cells = list(self.file.cells(number, _LIST_TYPES))
                    if any(c is not None and _is_list_row(c) for c in cells):
                        self.seen.add(number)
                        self._list_page(number, roots)
        return {name: root for name, root in roots.items() if root > 1}

    def _list_page(self, number: int, roots: dict[str, int]) -> None:
        cells = list(self.file.cells(number, _LIST_TYPES))
        if not cells or None in cells or self.file.hides_rows(number, cells):
            self.found.lost_list = True
            cells += self.file.carved(number, _LIST_TYPES, _is_list_row)
        for cell in cells:
            if cell is not None and _is_list_row(cell) and cell.values[0] == "table":
                name, root = cell.values[1], cell.values[3]
                if isinstance(name, str) and isinstance(root, int) and name in self.shapes.of:
                    roots.setdefault(name, root)
                    self.shapes.told(name, cell.values[4])

    def _walk(self, name: str, root: int) -> None:
        """Gather a table along its tree; pages that are no part of it become gaps."""
        start = -1 if self.shapes.of[name].has_alias else 0
        stack: list[tuple[int, int, int | None]] = [(root, start, None)]
        while stack:
            number, low, high = stack.pop()
            kind = self.file.kind(number) if number not in self.seen else 0
            if kind == TABLE_INTERIOR and len(stack) <= self.file.count:
                self.seen.add(number)
                stack += self._ranges(number, low, high)
            elif kind == TABLE_LEAF and self._take_leaf(name, number):
                continue
            elif len(self.gaps) < _MOST_GAPS:
                self.gaps.append(Gap(name, number, low, high))

    def _ranges(self, number: int, low: int, high: int | None) -> list[tuple[int, int, int | None]]:
        parts: list[tuple[int, int, int | None]] = []
        for child, key in self.file.children(number):
            upper = high if key is None else key
            parts.append((child, low, upper))
            low = upper if upper is not None else low
        return parts

    def _take_leaf(self, name: str, number: int) -> bool:
        """Take a leaf's rows; False when it is another table's page, or none at all."""
        shape = self.shapes.of[name]
        cells = list(self.file.cells(number, shape.lenient))
        good = [cell for cell in cells if cell is not None]
        if cells and len(good) < _FEWEST_FITTING * len(cells):
            return False
        self.seen.add(number)
        self.leaves[name] += 1
        for cell in good:
            self._take(name, cell)
        bad = len(cells) - len(good)
        if shape.types and (bad or self.file.hides_rows(number, cells)):
            more = self._carve_page(name, number, None, None)
            if not cells and not more and any(self.file.page(number)[8:]):
                self.found.unsure.add(name)
            bad = max(bad - more, 0)
        self.bad[name] += bad
        return True

    def _take(self, name: str, cell: Cell) -> bool:
        rows = self.found.rows[name]
        if cell.rowid in rows:
            return False
        # Pages may be shared by rows, so that a small file speaks of much.
        self.bytes_left -= sum(len(v) for v in cell.values if isinstance(v, str | bytes))
        self.rows_left -= 1
        if self.rows_left < 0 or self.bytes_left < 0:
            self.found.unsure.add(name)
            return False
        rows[cell.rowid] = cell.values
        self.found.cut[name] += cell.is_cut
        return True

    def _walk_guessed(self, name: str, root: int) -> None:
        """Walk from where a new file has this table, if what lies there is of its kind."""
        number = root
        for _ in range(20):
            if number in self.seen or self.file.kind(number) != TABLE_INTERIOR:
                break
            children = self.file.children(number)
            number = children[0][0] if children else 0
        if number not in self.seen and self.shapes.takes(name, self._sample(number)):
            self._walk(name, root)

    def _sample(self, number: int) -> list[_Row]:
        """Return a few rows of a leaf page, empty where most cannot be read."""
        if self.file.kind(number) != TABLE_LEAF:
            return []
        cells = list(islice(self.file.cells(number), _SAMPLE))
        good: list[_Row] = [(cell.rowid, cell.values) for cell in cells if cell is not None]
        return good if len(good) >= _FEWEST_FITTING * len(cells) else []

    def _take_orphans(self) -> None:
        """Give leaves no tree leads to back to the table whose rows they must be.

        Not those the file calls free: they may hold what the coach deleted.
        """
        free = self.file.free_pages()
        for number in range(2, self.file.count + 1):
            if number in self.seen or number in free:
                continue
            sample = self._sample(number)
            fitting = [name for name in self.shapes.of if self.shapes.takes(name, sample)]
            rowids = [rowid for rowid, _ in sample]
            missing = [name for name in fitting if self._misses(name, rowids)]
            chosen = missing if missing or not self.found.lost_list else fitting
            if len(chosen) == 1:
                self._take_leaf(chosen[0], number)
            elif chosen:
                self.found.unknown += sum(c is not None for c in self.file.cells(number))

    def _misses(self, name: str, rowids: Sequence[int]) -> bool:
        """Whether a table has a gap of these rowids."""
        if not rowids or any(rowid in self.found.rows[name] for rowid in rowids):
            return False
        return any(
            gap.table == name
            and all(gap.low < r and (gap.high is None or r <= gap.high) for r in rowids)
            for gap in self.gaps
        )

    def _carve(self) -> None:
        """Search the unreadable pages of a table for rows of its looks."""
        for gap in self.gaps:
            if gap.page not in self.seen and self.shapes.of[gap.table].types:
                self._carve_page(gap.table, gap.page, gap.low, gap.high)

    def _carve_page(self, name: str, number: int, low: int | None, high: int | None) -> int:
        self.carved_pages += 1
        if self.carved_pages > _MOST_CARVED:
            return 0

        def accepts(cell: Cell) -> bool:
            if (low is not None and cell.rowid <= low) or (high is not None and cell.rowid > high):
                return False
            return self.shapes.takes(name, [(cell.rowid, cell.values)])

        cells = self.file.carved(number, self.shapes.of[name].types, accepts)
        return sum(self._take(name, cell) for cell in cells)

    def _count(self) -> None:
        """Estimate what is missing: by the rowids of a gap, or by what a page usually holds."""
        for name, bad in self.bad.items():
            self.found.lost[name] += bad
        ordered = {name: sorted(rows) for name, rows in self.found.rows.items()}
        for gap in self.gaps:
            rows = ordered[gap.table]
            last = len(rows) if gap.high is None else bisect_right(rows, gap.high)
            back = last - bisect_right(rows, gap.low)
            usual = max(len(rows) // max(self.leaves[gap.table], 1), 1)
            if gap.high is not None:
                # Deleted rows leave holes, so a wide gap says little.
                self.found.lost[gap.table] += max(min(gap.high - gap.low, 4 * usual) - back, 0)
            else:
                self.found.unsure.add(gap.table)
                self.found.lost[gap.table] += 0 if back else usual


def _is_list_row(cell: Cell) -> bool:
    return cell.values[0] in ("table", "index", "view", "trigger")
