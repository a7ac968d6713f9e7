"""Files that are neither film nor force, refused with what they are and what to do instead."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from app.review.values.text import clean_name
from app.submission.kinds import is_recording_name

PHOTOS: Final = frozenset(
    {".jpg", ".jpeg", ".png", ".heic", ".heif", ".webp", ".bmp", ".tif", ".tiff"}
)
_SOUNDS: Final = frozenset({".mp3", ".m4a", ".wav", ".aac", ".ogg", ".opus", ".flac", ".amr"})
_SHEETS: Final = frozenset({".numbers", ".gsheet"})
_PAPERS: Final = frozenset({".pdf", ".doc", ".docx", ".odt", ".rtf", ".pages"})
_PACKED: Final = frozenset({".7z", ".rar", ".tar", ".tgz", ".xz", ".bz2"})
_TABLES: Final = frozenset({".feather", ".arrow"})

KEPT: Final = "nothing was opened or changed"
_WHAT: Final = (
    (
        PHOTOS,
        "is a photo, no recording",
        "ask the athlete for the file their machine or app saved (.csv or .xlsx); or open the film"
        " alone, and of a photo of a force curve choose “Read a curve from a picture” there",
    ),
    (
        _SOUNDS,
        "is a sound without a picture",
        "ask the athlete for the film itself, filmed from the side",
    ),
    (
        _SHEETS,
        "is a spreadsheet of a kind that is not read here",
        "save the sheet with the force as .xlsx or .csv and open that, or ask the athlete to",
    ),
    (
        _TABLES,
        "is a table of a kind that is not read here",
        "save it as .csv or .parquet with the program that wrote it and open that",
    ),
    (
        _PAPERS,
        "is a document, no recording",
        "ask the athlete for the film, and for the force as .csv or .txt",
    ),
    (
        _PACKED,
        "is packed in a way that is not read here",
        "unpack it and open the folder, or ask for a .zip",
    ),
)


def refusal_of(path: Path) -> str:
    """Say in one sentence why a file is none of ours, "" where it may be one.

    Returns
    -------
    What it is, what was kept, and the next step for the coach or for who sent it.
    """
    if is_recording_name(path):  # the list of what is read decides; none of it is refused
        return ""
    ending = path.suffix.casefold()
    for endings, what, then in _WHAT:
        if ending in endings:
            return f"{clean_name(path.name)} {what}; {KEPT}: {then}."
    return ""
