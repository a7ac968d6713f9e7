"""Text that people typed, made fit for the files of a bundle."""

from __future__ import annotations

import re
import unicodedata

# Tab and line feed carry meaning; every other control code has no place in a page or a table.
_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufeff]")
# Embeddings, overrides and isolates can make the words around them read differently from what
# they say. The direction marks that Hebrew and Arabic need stay.
_REORDERING = re.compile("[\u202a-\u202e\u2066-\u2069]")
# Cells that spreadsheets take for a formula, in their plain and full-width forms.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\n", "＝", "＋", "－", "＠")
# Some thirty years: beyond any film, and short enough that no arithmetic overflows.
LONGEST_S = 1e9


def clean(text: str) -> str:
    """Text without control codes, surrogates, noncharacters and reordering codes.

    Line ends become single line feeds; everything that can be read stays, emoji and
    right-to-left marks included.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\u2028", "\n")
    text = text.replace("\u2029", "\n").replace("\x0b", "\n").replace("\x0c", "\n")
    text = _REORDERING.sub("", _CONTROLS.sub("", text))
    text = "".join(c for c in text if not _unreadable(ord(c)))
    return unicodedata.normalize("NFC", text).strip()


def one_line(text: str) -> str:
    """Cleaned text with every run of white space as one space."""
    return " ".join(clean(text).split())


def with_capital(text: str, language: str = "") -> str:
    """Text as a line of its own begins: with a capital, unless its first word has one inside.

    Parameters
    ----------
    language : of the words, for the dotted capital of Turkish
    """
    first = text.split(maxsplit=1)[0] if text.strip() else ""
    if not first[:1].islower() or any(c.isupper() for c in first):
        return text
    if first[0] == "i" and language.partition("-")[0] in ("tr", "az"):
        return "İ" + text[1:]
    large = first[0].title()
    return large + text[1:] if len(large) == 1 else text


def cell(text: str) -> str:
    """Cleaned text that no spreadsheet runs as a formula: such a cell gets a leading apostrophe."""
    text = clean(text)
    return f"'{text}" if text.lstrip(" \u00a0").startswith(_FORMULA_STARTS) else text


def clock(seconds: float) -> str:
    """A time of the film as a person reads it: 0:07.4, 12:03.0, 1:02:03.4."""
    tenths = round(min(max(seconds, 0.0), LONGEST_S) * 10)
    minutes, tenths = divmod(tenths, 600)
    hours, minutes = divmod(minutes, 60)
    tail = f"{tenths // 10:02d}.{tenths % 10}"
    return f"{hours}:{minutes:02d}:{tail}" if hours else f"{minutes}:{tail}"


def _unreadable(code: int) -> bool:
    return 0xD800 <= code <= 0xDFFF or 0xFDD0 <= code <= 0xFDEF or code & 0xFFFE == 0xFFFE
