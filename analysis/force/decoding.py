"""The first bytes of a file: whether it is text, in which encoding, and if not, what it is."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from analysis.force.trace import TraceError

HEAD_BYTES = 1 << 16

_TABLE = "ask for the table of samples the recorder writes, as .csv or a spreadsheet"
_UNPACK = "unpack it and send the table that is in it"
_EXPORT = "export the samples as .csv with the program that wrote it"

# First bytes of common files, from their published formats: what it is, and the next step. ISO base
# media is told by "ftyp" at byte 4, FIT by its name at byte 8.
_MAGIC: tuple[tuple[bytes, str, str], ...] = (
    (b"\x89PNG\r\n\x1a\n", "a picture", _TABLE),
    (b"\xff\xd8\xff", "a picture", _TABLE),
    (b"GIF8", "a picture", _TABLE),
    (b"%PDF", "a PDF document", _TABLE),
    (b"RIFF", "a video or sound recording", _TABLE),
    (b"\x1aE\xdf\xa3", "a video", _TABLE),
    (b"SQLite format 3\x00", "a database", _EXPORT),
    (b"PK\x03\x04", "a zip archive", _UNPACK),
    (b"\xd0\xcf\x11\xe0", "an office document", "save it as .xlsx or .csv"),
    (b"\x1f\x8b", "a compressed file", _UNPACK),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive", _UNPACK),
    (b"Rar!", "a rar archive", _UNPACK),
    (b"\xfd7zXZ\x00", "a compressed file (xz)", _UNPACK),
    (b"BZh", "a compressed file (bzip2)", _UNPACK),
    (b"ARROW1", "an Arrow table", "save it as .csv or Parquet with the program that wrote it"),
    (b"\x89HDF", "an HDF5 or MATLAB file", _EXPORT),
    (b"MATLAB 5.0", "a MATLAB file", _EXPORT),
    (b"\x93NUMPY", "a NumPy array", _EXPORT),
    (b"TDSm", "a TDMS measurement file", _EXPORT),
)
_MARKUP = re.compile(r"\s*<(\?xml|!doctype|html|table|\w+[\s>])", re.IGNORECASE)


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
        kind, step = _kind(raw)
        raise TraceError(f"{path.name} is {kind}, not a table of force samples; {step}.")
    whole = size <= len(raw)
    text = codecs.getincrementaldecoder(encoding)("replace").decode(raw, final=whole)
    if _MARKUP.match(text.lstrip("\ufeff")):
        raise TraceError(
            f"{path.name} is a web page or XML, not a table of force samples; open it in a "
            "spreadsheet program and save it as .xlsx or .csv."
        )
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


_CONTROLS: Final = bytes(set(range(32)) - set(b"\t\n\r\x0c\x1a"))
_BEYOND_ASCII: Final = bytes(range(128, 256))


def _encoding(raw: bytes) -> str | None:
    """Codec of some text, None for bytes that are no text."""
    if any(raw.startswith(magic) for magic, _, _ in _MAGIC) or raw[4:8] == b"ftyp":
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
        return "latin-1" if len(raw.translate(None, _BEYOND_ASCII)) > 0.7 * len(raw) else None
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
    return 1.0 - len(raw.translate(None, _CONTROLS)) / len(raw)


def _kind(raw: bytes) -> tuple[str, str]:
    """What a file is that is no text, and the next step for whoever sent it."""
    if raw[4:8] == b"ftyp":
        return "a video", _TABLE
    if raw[8:12] == b".FIT":
        return "a FIT activity file", "it holds no curve of the force; " + _TABLE
    if raw[1:2] == b"\x50" and 0 < raw[0] < 32 and len(raw) >= 512:
        return "a C3D motion recording", _EXPORT
    found = ((kind, step) for magic, kind, step in _MAGIC if raw.startswith(magic))
    return next(found, ("a binary file", _EXPORT))
