"""How numbers and times of day are written in a cell, and what they are worth."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Any, Final

import numpy as np

from analysis.signals.signal import FloatArray

_NUMBER: Final = {
    ".": re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?"),
    ",": re.compile(r"[+-]?(\d+(,\d+)?|,\d+)([eE][+-]?\d{1,3})?"),
}
# Thousands parted by the comma or point that is not the decimal mark, an apostrophe or a blank.
_BLANKS: Final = " \u00a0\u2009\u202f"
_GROUPED: Final = {
    ".": re.compile(rf"[+-]?\d{{1,3}}([,'’{_BLANKS}])\d{{3}}(\1\d{{3}})*(\.\d*)?"),
    ",": re.compile(rf"[+-]?\d{{1,3}}([.'’{_BLANKS}])\d{{3}}(\1\d{{3}})*(,\d*)?"),
}
# A time of day or since the start (h:mm:ss, m:ss), and a date with one (ISO 8601).
CLOCK: Final = r"(?:(\d{1,4}):)?(\d{1,3}):(\d{1,2}(?:[.,]\d*)?)"
ISO: Final = r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d(?:[.,]\d+)?(?:Z|[+-]\d\d:?\d\d)?"
_CLOCK: Final = re.compile(CLOCK)
_ISO: Final = re.compile(ISO)
DAY_S: Final = 86_400.0


def is_number(cell: str, decimal: str) -> bool:
    """Whether a cell is a plain number in this notation."""
    return _NUMBER[decimal].fullmatch(cell) is not None


def is_grouped(cell: str, decimal: str) -> bool:
    """Whether a cell is a number with its thousands parted."""
    return _GROUPED[decimal].fullmatch(cell) is not None


def is_clock(cell: str) -> bool:
    """Whether a cell is a time of day, a time since the start, or a date with a time."""
    if ":" not in cell:
        return False
    return _CLOCK.fullmatch(cell) is not None or _ISO.fullmatch(cell) is not None


def holds_value(cell: str, decimal: str) -> bool:
    """Whether a cell is worth a number, however it is written."""
    return is_number(cell, decimal) or is_grouped(cell, decimal) or is_clock(cell)


def to_number(cell: str, decimal: str) -> float:
    """Value of a cell, a clock in seconds; NaN when it is no number."""
    if is_number(cell, decimal):
        return float(cell.replace(decimal, "."))
    grouped = _GROUPED[decimal].fullmatch(cell)
    if grouped is not None:
        return float(cell.replace(grouped[1], "").replace(decimal, "."))
    clock = _CLOCK.fullmatch(cell)
    if clock is not None:
        hours, minutes, seconds = clock.groups()
        return float(hours or 0) * 3600 + float(minutes) * 60 + float(seconds.replace(",", "."))
    return _date_s(cell) if _ISO.fullmatch(cell) else float("nan")


def _date_s(cell: str) -> float:
    try:
        found = datetime.fromisoformat(cell.replace(",", "."))
    except ValueError:
        return float("nan")
    return (found.replace(tzinfo=None) - datetime(1970, 1, 1)).total_seconds()


def numbers_of(text: Any, decimal: str) -> FloatArray:
    """Values of a whole column of text, as `to_number` gives each.

    Parameters
    ----------
    text : a pandas series of strings
    """
    import pandas as pd

    plain = text if decimal == "." else text.str.replace(decimal, ".", regex=False)
    plain = plain.where(text.str.fullmatch(_NUMBER[decimal].pattern).fillna(False), pd.NA)
    values: FloatArray = pd.to_numeric(plain, errors="coerce").to_numpy(
        dtype=np.float64, na_value=np.nan, copy=True
    )
    left = np.flatnonzero(np.isnan(values) & text.notna().to_numpy())
    if len(left):
        cells = text.iloc[left]
        written = cells.str.fullmatch(rf"(?:{CLOCK}|{ISO})").fillna(False)
        if bool(written.any()):
            values[left] = _clocks(cells)
            left = left[np.isnan(values[left])]
        values[left] = [to_number(cell, decimal) for cell in text.iloc[left]]
    return values


def _clocks(cells: Any) -> FloatArray:
    """Seconds of a column of clocks; a time of day that passes midnight goes on."""
    import pandas as pd

    parts = cells.str.extract(rf"^{CLOCK}$")
    seconds = pd.to_numeric(parts[2].str.replace(",", ".", regex=False), errors="coerce")
    minutes = pd.to_numeric(parts[1], errors="coerce")
    hours = pd.to_numeric(parts[0], errors="coerce").fillna(0)
    values: FloatArray = (hours * 3600 + minutes * 60 + seconds).to_numpy(
        dtype=np.float64, na_value=np.nan
    )
    return values


def over_midnight(time_s: FloatArray) -> FloatArray:
    """Let a time of day go on where it falls from the end of a day to the start of the next."""
    known = np.flatnonzero(np.isfinite(time_s))
    if len(known) < 2 or np.nanmax(time_s) > DAY_S or np.nanmin(time_s) < 0.0:
        return time_s
    fell = np.diff(time_s[known]) < -0.9 * DAY_S
    if fell.sum() != 1:
        return time_s
    later = time_s.copy()
    later[known[1:][np.cumsum(fell) > 0]] += DAY_S
    return later
