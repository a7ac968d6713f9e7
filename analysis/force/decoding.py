"""The first bytes of a file: whether it is text, in which encoding, and if not, what it is."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from pathlib import Path

from analysis.force.trace import TraceError

HEAD_BYTES = 1 << 16

# First bytes of common files, from their published formats (PNG, JPEG, GIF, PDF, ZIP, gzip,
# RIFF, Matroska, SQLite, legacy compound document); ISO base media is told by "ftyp" at byte 4.
_MAGIC: tuple[tuple[bytes, str], ...] = (
    (b"\x89PNG\r\n\x1a\n", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a spreadsheet or zip archive"),
    (b"\xd0\xcf\x11\xe0", "a spreadsheet or office document"),
    (b"\x1f\x8b", "a compressed file"),
    (b"RIFF", "a video or sound recording"),
    (b"\x1aE\xdf\xa3", "a video"),
    (b"SQLite format 3\x00", "a database"),
)


@dataclass(frozen=True)
class TextHead:
    """The beginning of a text file.

    Attributes
    ----------
    encoding : a codec name Python and pandas know
    lines : the lines of the head; a last line that may be cut is left out
    whole : True when the head is the whole file
    size : bytes of the file
    """

    encoding: str
    lines: tuple[str, ...]
    whole: bool
    size: int


def read_head(path: Path) -> TextHead:
    """Read the beginning of a text file.

    Raises
    ------
    TraceError
        The file is not there, is a folder, cannot be read, is empty, or is no text.
    """
    raw, size = _first_bytes(path)
    if not raw.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise TraceError(f"{path.name} is empty; choose a file with force samples in it.")
    encoding = _encoding(raw)
    if encoding is None:
        raise TraceError(
            f"{path.name} is {_kind(raw)}, not a text table of force samples; "
            "choose the delimited text file the recorder wrote."
        )
    whole = size <= len(raw)
    text = codecs.getincrementaldecoder(encoding)("replace").decode(raw, final=whole)
    lines = re.split(r"\r\n|\n|\r", text.lstrip("\ufeff"))
    if not whole and len(lines) > 1:
        lines = lines[:-1]
    return TextHead(encoding, tuple(lines), whole, size)


def _first_bytes(path: Path) -> tuple[bytes, int]:
    if path.is_dir():
        raise TraceError(f"{path.name or path} is a folder; choose the force file inside it.")
    try:
        with path.open("rb") as file:
            return file.read(HEAD_BYTES), path.stat().st_size
    except FileNotFoundError:
        raise TraceError(f"There is no file {path}; check its name and folder.") from None
    except PermissionError:
        raise TraceError(
            f"{path.name} may not be read; change its permissions or copy it elsewhere."
        ) from None
    except (OSError, ValueError) as error:
        raise TraceError(f"{path.name} could not be read ({error}).") from None


def _encoding(raw: bytes) -> str | None:
    """Codec of some text, None for bytes that are no text."""
    if any(raw.startswith(magic) for magic, _ in _MAGIC) or raw[4:8] == b"ftyp":
        return None
    if raw.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        return "utf-32"
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    bare = _bare_utf16(raw)
    if bare is not None:
        return bare
    if _control_share(raw) > 0.01 or b"\x00" in raw:
        return None
    try:
        codecs.getincrementaldecoder("utf-8")("strict").decode(raw)
    except UnicodeDecodeError:
        # Every byte is a latin-1 letter. Text is mostly ASCII in a table of numbers.
        return "latin-1" if sum(b < 128 for b in raw) > 0.7 * len(raw) else None
    return "utf-8-sig" if raw.startswith(codecs.BOM_UTF8) else "utf-8"


def _bare_utf16(raw: bytes) -> str | None:
    """UTF-16 without a mark: every second byte of digits and separators is zero."""
    if len(raw) < 4:
        return None
    pairs = len(raw) // 2
    if raw[1::2].count(0) > 0.9 * pairs and raw[0::2].count(0) == 0:
        return "utf-16-le"
    if raw[0::2].count(0) > 0.9 * pairs and raw[1::2].count(0) == 0:
        return "utf-16-be"
    return None


def _control_share(raw: bytes) -> float:
    return sum(b < 32 and b not in b"\t\n\r\x0c\x1a" for b in raw) / len(raw)


def _kind(raw: bytes) -> str:
    if raw[4:8] == b"ftyp":
        return "a video"
    return next((kind for magic, kind in _MAGIC if raw.startswith(magic)), "a binary file")
