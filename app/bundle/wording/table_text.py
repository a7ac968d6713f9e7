"""Tables as text: RFC 4180, comma, CRLF, UTF-8, one header row."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence


def number(value: float | None) -> str:
    """Give a number to six places as plain decimals without trailing zeros, "" for None."""
    if value is None:
        return ""
    return f"{value + 0.0:.6f}".rstrip("0").rstrip(".")


def table_csv(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Give a table in the form of this module; texts that people typed go through `cell` first."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()
