"""The words of a note taken apart for keeping, and put together for the next athlete."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.review.finding_notes import CAUTION, CUE, DOSE, DRILL, FILM, UNTIL
from app.shelf.explanation import ATHLETE, Explanation

if TYPE_CHECKING:
    from analysis.findings.finding import Finding

_LINES: Final = {
    "cue": CUE, "drill": DRILL, "dose": DOSE, "until": UNTIL, "film": FILM, "care": CAUTION,
}  # fmt: skip
_LEAST_NAME: Final = 3  # letters: a shorter part of a name is a word of its own too often


@dataclass(frozen=True)
class NoteWords:
    """The words of a note by what they are; fields as in `Explanation`."""

    words: str
    cue: str
    drill: str
    dose: str
    until: str
    film: str
    care: str
    says_title: bool
    says_what: bool


def taken_apart(text: str, finding: Finding | None, athlete: str) -> NoteWords:
    """Take the words of a note apart.

    Parameters
    ----------
    finding : the one the note was kept from: what it says of that athlete alone is left out
    athlete : whose name is taken out, "" for nobody
    """
    said = dict.fromkeys(_LINES, "")
    own: list[str] = []
    lines = [line.strip() for line in without_name(text, athlete).splitlines()]
    told = _told(finding)
    for line in lines:
        key = next((k for k, begin in _LINES.items() if line.startswith(begin)), None)
        rest = "" if key is None else line.removeprefix(_LINES[key]).strip()
        if key is not None and rest and not said[key]:
            said[key] = rest
        elif line not in told:
            own.append(line)
    if finding is not None and said["care"] == finding.caution.strip():
        said["care"] = ""  # the next athlete's finding says it again
    return NoteWords(
        "\n".join(own).strip(),
        **said,
        says_title=finding is None or finding.title.strip() in lines,
        says_what=finding is None or bool(told & set(lines) - {finding.title.strip()}),
    )


def put_together(kept: Explanation, finding: Finding | None, athlete: str) -> str:
    """Give the words of the note on the next athlete, as their own finding begins them.

    Parameters
    ----------
    athlete : whose name stands where the other one's stood
    """
    lines: list[str] = []
    if finding is not None:
        lines += [finding.title] if kept.says_title else []
        lines += [finding.what] if kept.says_what else []
    lines.append(kept.words)
    lines += [f"{_LINES[key]} {text}" for key in _LINES if (text := getattr(kept, key).strip())]
    # Where a back is at risk, what is said of it is never left out.
    if finding is not None and finding.caution.strip() not in ("", kept.care.strip()):
        lines.append(f"{CAUTION} {finding.caution}")
    text = "\n".join(line.strip() for line in lines if line.strip())
    return with_name(text, athlete)


def without_name(text: str, athlete: str) -> str:
    """The words with a sign in the place of the athlete's name."""
    for name in _names(athlete):
        text = re.sub(rf"\b{re.escape(name)}\b", ATHLETE, text)
    return text


def with_name(text: str, athlete: str) -> str:
    """The words with the athlete's first name in the place of the sign; without it for nobody."""
    first = (athlete.split() or [""])[0]
    if first:
        return text.replace(ATHLETE, first)
    return re.sub(rf"{ATHLETE}[,:]?[ ]*", "", text)


def names_somebody(words: Iterable[str], athlete: str) -> bool:
    """Whether one of the words is a name of the athlete."""
    names = {name.casefold() for name in _names(athlete)}
    return any(re.sub(r"\W", "", word).casefold() in names for word in words)


def has_numbers(kept: Explanation) -> bool:
    """Whether the coach's own words name a number, which was of another athlete."""
    return re.search(r"\d", kept.words) is not None


def _names(athlete: str) -> list[str]:
    """The whole name first, then its parts."""
    parts = [part for part in athlete.split() if len(part) >= _LEAST_NAME]
    whole = " ".join(athlete.split())
    return ([whole] if len(whole) >= _LEAST_NAME else []) + [p for p in parts if p != whole]


def _told(finding: Finding | None) -> set[str]:
    """Lines that were said of that athlete alone."""
    if finding is None:
        return set()
    return {line.strip() for line in (finding.title, *finding.what.splitlines()) if line.strip()}
