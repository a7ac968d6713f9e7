"""What the bench remembers between reviews: recent files and how force files are read."""

from __future__ import annotations

import contextlib
import json
import threading
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QStandardPaths

from app.files import atomic

if TYPE_CHECKING:
    from analysis.force.trace import ColumnMapping

RECENT = 12
_LONGEST_NAME = 80
# Megabytes (2**20 bytes) for the picture, the least and the most that may be chosen.
CACHE_MB = (256, 64, 2048)  # frames kept in memory: usual, least, most
QUICK_COPY_MB = (2048, 0, 32768)  # quick copy on the disk: usual, none, most


def default_path() -> Path:
    """The settings file of this user."""
    where = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericConfigLocation)
    return Path(where) / "strokeside" / "settings.json"


def data_folder() -> Path:
    """Where reviews go that have no better place."""
    where = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericDataLocation)
    return Path(where) / "strokeside"


def library_folder() -> Path:
    """Where the coach's reference strokes lie."""
    return data_folder() / "references"


class Settings:
    """A small JSON file. A broken or unwritable one costs memory of past choices, never work."""

    def __init__(self, path: Path | None = None) -> None:
        self._path = path or default_path()
        self._data: dict[str, Any] = {}
        self._lock = threading.Lock()
        with contextlib.suppress(OSError, ValueError, RecursionError):
            loaded = json.loads(self._path.read_text("utf-8"))
            if isinstance(loaded, dict):
                self._data = loaded

    def recent_reviews(self) -> list[Path]:
        """Reviews opened lately that still exist, newest first."""
        listed = self._data.get("recent", [])
        names = (
            [name for name in listed if isinstance(name, str)] if isinstance(listed, list) else []
        )
        return [Path(name) for name in names if Path(name).is_file()]

    def add_recent(self, review: Path) -> None:
        """Put a review at the top of the recent ones."""
        name = str(review.resolve())
        rest = [str(p) for p in self.recent_reviews() if str(p) != name]
        self._set("recent", [name, *rest][:RECENT])

    def told_of(self, review: Path) -> tuple[str, str]:
        """Athlete and title of a recent review as it was left, "" where nothing is known."""
        from app.review.values.text import clean_text  # this stands before the window

        told = self._told().get(str(review))
        if not isinstance(told, list) or len(told) != 2:
            return "", ""
        return clean_text(str(told[0]))[:_LONGEST_NAME], clean_text(str(told[1]))[:_LONGEST_NAME]

    def tell_of(self, review: Path, athlete: str, title: str) -> None:
        """Keep whose a recent review is, to list it by."""
        name = str(review.resolve())
        told = {n: t for n, t in self._told().items() if n in self._data.get("recent", [])}
        if told.get(name) == [athlete, title] or name not in self._data.get("recent", []):
            return
        self._set("told_of_recent", {**told, name: [athlete, title]})

    def forget_recent(self, reviews: Iterable[Path]) -> None:
        """Forget reviews that were deleted, and whose they were; else the next change tells."""
        names = {name for path in reviews for name in (str(path), str(path.resolve()))}
        listed = self._data.get("recent", [])
        if isinstance(listed, list) and names.intersection(map(str, listed)):
            self._set("recent", [name for name in listed if name not in names])
        if names & self._told().keys():
            told = {name: said for name, said in self._told().items() if name not in names}
            self._set("told_of_recent", told)

    def _told(self) -> dict[str, Any]:
        told = self._data.get("told_of_recent")
        return told if isinstance(told, dict) else {}

    @property
    def lines_up_by_itself(self) -> bool:
        """Whether a new submission is lined up without being asked."""
        return self._data.get("lines_up_by_itself") is not False

    @lines_up_by_itself.setter
    def lines_up_by_itself(self, on: bool) -> None:
        self._set("lines_up_by_itself", on)

    @property
    def writes_voices_down(self) -> bool:
        """Whether what is spoken is written down without being asked."""
        return self._data.get("writes_voices_down") is not False

    @writes_voices_down.setter
    def writes_voices_down(self, on: bool) -> None:
        self._set("writes_voices_down", on)

    @property
    def appearance(self) -> str:
        """How the window looks: "system", "dark" or "light"."""
        kept = self._data.get("appearance")
        return kept if kept in ("dark", "light") else "system"

    @appearance.setter
    def appearance(self, choice: str) -> None:
        self._set("appearance", choice)

    @property
    def cache_mb(self) -> int:
        """How much memory kept frames may take, in units of 2**20 bytes."""
        return self._number("cache_mb", CACHE_MB)

    @cache_mb.setter
    def cache_mb(self, megabytes: int) -> None:
        self._set("cache_mb", megabytes)

    @property
    def quick_copy_mb(self) -> int:
        """How much disk the quick copy may take, in units of 2**20 bytes; 0 for none."""
        return self._number("quick_copy_mb", QUICK_COPY_MB)

    @quick_copy_mb.setter
    def quick_copy_mb(self, megabytes: int) -> None:
        self._set("quick_copy_mb", megabytes)

    @property
    def inbox(self) -> str:
        """The folder that is watched for what athletes send, "" for none."""
        folder = self._data.get("inbox")
        return folder if isinstance(folder, str) else ""

    @inbox.setter
    def inbox(self, folder: str) -> None:
        self._set("inbox", folder)

    @property
    def microphone(self) -> str:
        """The microphone chosen last, as the system calls it; "" for the usual one."""
        return str(self._data.get("microphone", ""))

    @microphone.setter
    def microphone(self, name: str) -> None:
        self._set("microphone", name)

    @property
    def coach(self) -> str:
        """The name the coach signed the last bundle with."""
        return str(self._data.get("coach", ""))

    @coach.setter
    def coach(self, name: str) -> None:
        self._set("coach", name)

    @property
    def language(self) -> str:
        """The language of the last bundle; "en" before there was one."""
        code = self._data.get("language")
        return code if isinstance(code, str) and code.isalpha() and len(code) <= 3 else "en"

    @language.setter
    def language(self, code: str) -> None:
        self._set("language", code)

    def mapping(self, signature: str) -> ColumnMapping | None:
        """How a force file with this layout was read last time."""
        mappings = self._data.get("mappings")
        stored = mappings.get(signature) if isinstance(mappings, dict) else None
        if not isinstance(stored, dict):
            return None
        from analysis.force.trace import ColumnMapping

        try:
            return ColumnMapping(**stored)
        except TypeError:
            return None

    def remember_mapping(self, signature: str, mapping: ColumnMapping) -> None:
        """Keep how a force file with this layout is read."""
        mappings = self._data.get("mappings")
        kept = dict(mappings) if isinstance(mappings, dict) else {}
        kept[signature] = asdict(mapping)
        self._set("mappings", kept)

    def _number(self, name: str, usual_least_most: tuple[int, int, int]) -> int:
        """A whole number; what cannot be one, or is out of bounds, is put right."""
        usual, least, most = usual_least_most
        value = self._data.get(name)
        if not isinstance(value, int) or isinstance(value, bool):
            return usual
        return min(max(value, least), most)

    def _set(self, name: str, value: object) -> None:
        # A review that is being opened is noted in the thread of its job, which waits for the disk.
        with self._lock, contextlib.suppress(OSError):
            self._data[name] = value
            self._path.parent.mkdir(parents=True, exist_ok=True)
            # Which athletes' reviews were opened is nobody else's business.
            atomic.write(self._path, json.dumps(self._data, indent=1).encode(), atomic.PRIVATE)
