"""How a review worked on lately is named in a list: whose it is, and of which day."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

from app.review.values.text import clean_name, plain
from app.window.session.settings import Settings

LONGEST = 40  # letters of a name in a list


def words_of(path: Path, settings: Settings) -> str:
    """Athlete, title and day as far as they are known, else the file and its folder."""
    athlete, title = settings.told_of(path)
    file = clean_name(path.stem)
    folder = path.parent.name if path.parent.name != file else ""  # said once is enough
    parts = [athlete, title or file] if athlete else [title or file, folder]
    parts = [plain(part, LONGEST) for part in parts if part]
    return "  ·  ".join(filter(None, (*parts, day_of(path))))


def day_of(path: Path, today: date | None = None) -> str:
    """When a file was changed last, in a word or as a date; "" where it cannot be told."""
    try:
        changed = datetime.fromtimestamp(path.stat().st_mtime).astimezone()
    except (OSError, OverflowError, ValueError):
        return ""
    now = today or datetime.now().astimezone().date()
    if changed.date() == now:
        return f"today {changed:%H:%M}"
    if changed.date() == now - timedelta(days=1):
        return "yesterday"
    return f"{changed.day} {changed:%b %Y}"
