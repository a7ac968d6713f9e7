"""Where coach and athlete stand, in a few words; and what the coach looks for, out of one line."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date, datetime
from typing import TYPE_CHECKING, Final

from app.review.values.text import plain

if TYPE_CHECKING:
    from app.library.latest import Latest
    from app.library.overview import Standing, Wanted

LONGEST: Final = 60  # letters of a name or title in a row
_DAY = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?")
_TAG = re.compile(r"(?:tag:|#)(\S+)")


def day_of(moment: str) -> date | None:
    """The day here of an ISO date or moment; None where it is none."""
    try:
        if len(moment) <= 10:
            return date.fromisoformat(moment)
        return datetime.fromisoformat(moment).astimezone().date()
    except ValueError:
        return None


def day_words(moment: str, today: date) -> str:
    """A day as it is shown: “today”, “yesterday”, “3 Nov”, with the year where it is another."""
    day = day_of(moment)
    if day is None:
        return ""
    gone = (today - day).days
    if gone in (0, 1):
        return ("today", "yesterday")[gone]
    return f"{day.day} {day:%b}" if day.year == today.year else f"{day.day} {day:%b %Y}"


def days_words(moment: str, today: date) -> str:
    """How long ago a moment was: “today”, “1 day”, “12 days”, “7 weeks”, “14 months”."""
    day = day_of(moment)
    gone = 0 if day is None else max(0, (today - day).days)
    for length, word, most in ((1, "day", 28), (7, "week", 112), (30, "month", 10**6)):
        count = gone // length
        if gone < most:
            return "today" if gone == 0 else f"{count} {word}{'s' if count != 1 else ''}"
    return ""


def state_words(one: Standing, today: date) -> str:
    """What is to be done: it waits, or the athlete was told something and is silent."""
    if one.waits_since:
        since = days_words(one.waits_since, today)
        waits = "Came today" if since == "today" else f"Waits {since}"
        return f"{waits} · draft ready" if one.drafts else waits
    if one.is_silent:
        since = days_words(one.last_told, today)
        return "Told today" if since == "today" else f"Silent for {since}"
    return ""


def about_words(one: Standing, latest: Latest, today: date) -> str:
    """All of it in a sentence or two, for the athlete that is chosen."""
    said = [f"{plain(one.athlete.name, LONGEST)}: {_count(one.reviews, 'review')}"]
    if one.athlete.tags:
        said[0] += f" ({', '.join(plain(tag, LONGEST) for tag in one.athlete.tags)})"
    if one.last_sent_in:
        said.append(f"sent in {day_words(one.last_sent_in, today)}")
    if one.last_answer:
        said.append(f"answered {day_words(one.last_answer, today)}")
    first = ", ".join(said) + "."
    if not one.last_told:
        return f"{first} Nothing was sent back yet."
    told = "; ".join(plain(title, LONGEST) for title in latest.told)
    ending = ": nothing came since" if one.is_silent else ""
    what = f" to work on {told}" if told else ""
    return f"{first} Told {day_words(one.last_told, today)}{what}{ending}."


def _count(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def wanted_of(text: str) -> Wanted:
    """Read a line of search: names and findings as words, #tag, a day, a month or a year.

    Two days stand for all between them.
    """
    from app.library.overview import Wanted

    tags = [found.group(1) for found in _TAG.finditer(text)]
    days: list[tuple[str, str]] = []
    words: list[str] = []
    for word in _TAG.sub(" ", text).split():
        found = _DAY.fullmatch(word)
        span = _span(found) if found is not None else None
        if span is None:
            words.append(word)
        else:
            days.append(span)
    since = min((first for first, _ in days), default="")
    until = max((last for _, last in days), default="")
    return Wanted(" ".join(words), tags[-1] if tags else "", "", since, until)


def _span(found: re.Match[str]) -> tuple[str, str] | None:
    """First and last day of what was written; None for what is no date."""
    year, month, day = (None if part is None else int(part) for part in found.groups())
    try:
        if year is None:
            return None
        first = date(year, month or 1, day or 1)
        end = month or 12
        last = date(year, end, day or monthrange(year, end)[1])
    except ValueError:
        return None
    return first.isoformat(), last.isoformat()
