"""What is said of findings, in each language: one TOML file a language, in the folder `texts`.

A file has the `name` of the language as its readers call it, a table for each finding, and may hold
the page's own wording as the table `words`; `former` keeps titles and cues that were reworded, for
earlier reviews hold them. A finding has `plain` and `film`, and in a language other than English
`title`, `what`, `cue`, `drill` and `caution` as well: those of English are the catalogue's
(`analysis/findings/catalogue.toml`).
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any, Final

from analysis.findings.catalogue import TEXTS, read_catalogue
from app.review.finding_notes import CAUTION, CUE, DRILL
from app.review.parts.notes import Note

_MARKS: Final = {CUE: "cue", DRILL: "drill", CAUTION: "care"}


@dataclass(frozen=True)
class FindingText:
    """What is said of a finding; "" where a language has no word for it."""

    title: str = ""
    what: str = ""
    cue: str = ""
    drill: str = ""
    caution: str = ""
    plain: str = ""
    film: str = ""


@cache
def language_files() -> Mapping[str, Mapping[str, Any]]:
    """Give what the files hold, by the code of the language."""
    place = files("app.bundle.wording").joinpath("texts")
    found = sorted((f for f in place.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)
    return {f.name.removesuffix(".toml"): tomllib.loads(f.read_text("utf-8")) for f in found}


@cache
def finding_texts(language: str) -> Mapping[str, FindingText]:
    """Give the texts of all findings in a language, by code; empty for an unknown language."""
    said = language_files().get(language, {}).get("findings", {})
    texts = {code: FindingText(**table) for code, table in said.items()}
    if language != "en":
        return texts
    return {
        code: replace(
            texts.get(code, FindingText()), **{name: getattr(entry, name) for name in TEXTS}
        )
        for code, entry in read_catalogue().entries.items()
    }


@cache
def _known() -> Mapping[str, tuple[str, str]]:
    """Code and kind of every text of the catalogue, in any language."""
    known: dict[str, tuple[str, str]] = {}
    for language in language_files():
        for code, text in finding_texts(language).items():
            for name in TEXTS:
                known.setdefault(getattr(text, name), (code, name))
    for code in language_files():
        for said, (finding, name) in _former(code).items():
            known.setdefault(said, (finding, name))
    known.pop("", None)
    return known


def _former(language: str) -> Mapping[str, tuple[str, str]]:
    """Code and kind of what was said once and earlier reviews may hold."""
    told = language_files().get(language, {}).get("former", {})
    return {said: (code, name) for said, (code, name) in told.items()}


def code_of(text: str) -> str:
    """The finding that a text of the catalogue belongs to, "" for words of the coach's own."""
    return _known().get(text.strip(), ("", ""))[0]


def is_foreign(text: str, own: str, page: str) -> bool:
    """Whether words of the coach are in another language than the page.

    Parameters
    ----------
    own : the language the coach said those words are in, "" for none
    """
    return bool(own and text.strip()) and own != page and not code_of(text)


def said_in(text: str, language: str) -> str:
    """Give a text of the catalogue in a language; words of the coach's own stay as they are."""
    code, name = _known().get(text.strip(), ("", ""))
    if text.strip() in _former(language):  # the coach has seen it so
        return text
    told = getattr(finding_texts(language).get(code, FindingText()), name, "") if code else ""
    return told or text


def notes_in(notes: Sequence[Note], language: str, words: Mapping[str, str]) -> tuple[Note, ...]:
    """Give notes with the sentences of the catalogue in a language, line by line.

    Parameters
    ----------
    words : the fixed wording of that language, for the marks before cue, drill and caution
    """
    return tuple(replace(note, text=_text_in(note.text, language, words)) for note in notes)


def _text_in(text: str, language: str, words: Mapping[str, str]) -> str:
    return "\n".join(_line_in(line, language, words) for line in text.split("\n"))


def _line_in(line: str, language: str, words: Mapping[str, str]) -> str:
    for mark, kind in _MARKS.items():
        if line.startswith(mark):
            said = line[len(mark) :].strip()
            told = said_in(said, language)
            return line if told == said else f"{words[kind]}: {told}"
    return said_in(line, language)
