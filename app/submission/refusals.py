"""Files that are neither film nor force, refused with what they are and what to do instead."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from analysis.force.endings import JSON
from app.review.recordings.fingerprint import open_regular
from app.review.values.errors import ReviewError
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

# What this program itself writes as .json, by what stands near its beginning.
_OURS: Final = (
    (
        rb'"strokeside_answers"',
        "holds an athlete's answers, no recording",
        "open the review they are to and drop the file itself onto it, or call "
        "“strokeside answers REVIEW {name}”",
    ),
    (
        rb'"strokeside_explanations"',
        "holds a coach's explanations, no recording",
        "take it in with “strokeside shelf”, or in the window under Explanations",
    ),
    (
        rb'"strokeside_athlete"',
        "is what the library knows of an athlete, no recording",
        "open the review itself, or the athlete's film and force file",
    ),
    (
        rb'"format"\s*:\s*"strokeside-feedback',
        "is the record of a feedback bundle, no recording",
        "drop the whole bundle to look into it, or open the review it was made from",
    ),
)
_LOOKED_BYTES: Final = 1 << 16


def refusal_of(path: Path) -> str:
    """Say in one sentence why a file is none of ours, "" where it may be one.

    Returns
    -------
    What it is, what was kept, and the next step for the coach or for who sent it.
    """
    if path.suffix.lower() in JSON:
        return _refusal_of_json(path)
    if is_recording_name(path):  # the list of what is read decides; none of it is refused
        return ""
    ending = path.suffix.casefold()
    for endings, what, then in _WHAT:
        if ending in endings:
            return f"{clean_name(path.name)} {what}; {KEPT}: {then}."
    return ""


def _refusal_of_json(path: Path) -> str:
    """Say what JSON of our own is; of all other, reading it says whether it holds a table."""
    try:
        with open_regular(path) as file:
            head = file.read(_LOOKED_BYTES)
    except ReviewError:
        return ""
    name = clean_name(path.name)
    for begins, what, then in _OURS:
        if re.search(begins, head):
            return f"{name} {what}; {KEPT}: {then.format(name=name)}."
    return ""
