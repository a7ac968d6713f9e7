"""Files that are neither film nor force, refused with what they are and what to do instead."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from app.review.values.text import clean_name

PHOTOS: Final = frozenset(
    {".jpg", ".jpeg", ".png", ".heic", ".heif", ".webp", ".bmp", ".tif", ".tiff"}
)
_SOUNDS: Final = frozenset({".mp3", ".m4a", ".wav", ".aac", ".ogg", ".opus", ".flac", ".amr"})
_SHEETS: Final = frozenset({".xls", ".xlsx", ".ods", ".numbers"})
_PAPERS: Final = frozenset({".pdf", ".doc", ".docx", ".odt", ".rtf", ".pages"})
_PACKED: Final = frozenset({".zip", ".7z", ".rar", ".gz", ".tar"})

KEPT: Final = "nothing was opened or changed"
_WHAT: Final = (
    (
        PHOTOS,
        "is a photo, and a curve in a photo has no numbers to work with",
        "ask the athlete for the file their machine or app saved (.csv or .txt), or open the film"
        " alone",
    ),
    (
        _SOUNDS,
        "is a sound without a picture",
        "ask the athlete for the film itself, filmed from the side",
    ),
    (
        _SHEETS,
        "is a spreadsheet",
        "save the sheet with the force as .csv and open that, or ask the athlete to",
    ),
    (
        _PAPERS,
        "is a document, no recording",
        "ask the athlete for the film, and for the force as .csv or .txt",
    ),
    (
        _PACKED,
        "is packed",
        "unpack it and open the folder",
    ),
)


def refusal_of(path: Path) -> str:
    """Say in one sentence why a file is none of ours, "" where it may be one.

    Returns
    -------
    What it is, what was kept, and the next step for the coach or for who sent it.
    """
    ending = path.suffix.casefold()
    for endings, what, then in _WHAT:
        if ending in endings:
            return f"{clean_name(path.name)} {what}; {KEPT}: {then}."
    return ""
