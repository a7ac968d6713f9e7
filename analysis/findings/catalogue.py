"""The wording of the findings, read from one file a coach can edit."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib.resources import files
from pathlib import Path
from typing import Any, cast, get_args

from analysis.findings.finding import Cause, Phase

TEXTS = ("title", "what", "cue", "drill", "caution")


@dataclass(frozen=True)
class Entry:
    """What is said about one finding."""

    code: str
    title: str
    phase: Phase
    what: str = ""
    causes: tuple[Cause, ...] = ()
    cue: str = ""
    drill: str = ""
    caution: str = ""
    good: bool = False


@dataclass(frozen=True)
class Catalogue:
    """The wording in force.

    Attributes
    ----------
    entries : by code, in the order of the file
    remarks : what could not be used of a coach's own file, one sentence each
    """

    entries: Mapping[str, Entry]
    remarks: tuple[str, ...] = ()

    def __getitem__(self, code: str) -> Entry:
        return self.entries[code]

    def with_words(self, words: Mapping[str, Mapping[str, str]]) -> Catalogue:
        """The same with other words for some findings; a code it does not know is passed over.

        Parameters
        ----------
        words : texts by a key of `TEXTS`, by code
        """
        own = {code: said for code, said in words.items() if code in self.entries}
        laid = {code: _over(self.entries[code], dict(said)) for code, said in own.items()}
        return replace(self, entries={**self.entries, **laid})


def built_in_text() -> str:
    """Give the built-in file as text, for a coach to start their own from."""
    return files("analysis.findings").joinpath("catalogue.toml").read_text("utf-8")


def read_catalogue(path: Path | None = None) -> Catalogue:
    """Read the built-in wording and lay a coach's own file over it.

    Parameters
    ----------
    path : a TOML file of the same layout that may hold some codes and some keys only; None or a
        file that is not there for the built-in wording alone

    Returns
    -------
    Always a whole catalogue: what cannot be used of the file is named in `remarks` and the
    built-in wording stays for it.
    """
    entries = {code: _entry(code, table) for code, table in tomllib.loads(built_in_text()).items()}
    if path is None or not path.exists():
        return Catalogue(entries)
    try:
        own = tomllib.loads(path.read_text("utf-8-sig"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        return Catalogue(
            entries,
            (
                f"The wording in {path.name} cannot be read ({error}); "
                "the built-in wording is used.",
            ),
        )
    remarks = []
    for code, table in own.items():
        if code not in entries:
            remarks.append(f"{path.name} names a finding '{code}' that does not exist; left out.")
            continue
        problem = _problem(table)
        if problem:
            remarks.append(
                f"{path.name}, '{code}': {problem}; the built-in wording is used for it."
            )
            continue
        entries[code] = _over(entries[code], table)
    return Catalogue(entries, tuple(remarks))


def _problem(table: Any) -> str:
    if not isinstance(table, dict):
        return "it is no table of texts"
    for key, value in table.items():
        if key in TEXTS and not isinstance(value, str):
            return f"'{key}' is no text"
        if key == "phase" and value not in get_args(Phase):
            return f"'phase' must be one of {', '.join(get_args(Phase))}"
        if key == "causes" and not (
            isinstance(value, list)
            and all(isinstance(c, dict) and isinstance(c.get("cause"), str) for c in value)
        ):
            return "'causes' is no list of causes"
        if key not in (*TEXTS, "phase", "causes", "good"):
            return f"'{key}' is not a key of a finding"
    return ""


def _entry(code: str, table: dict[str, Any]) -> Entry:
    return _over(Entry(code, table["title"], table["phase"], good=bool(table.get("good"))), table)


def _over(base: Entry, table: dict[str, Any]) -> Entry:
    """Lay a table over an entry. Whether a finding is good is no matter of wording."""
    texts = {key: str(table.get(key, getattr(base, key))).strip() for key in TEXTS}
    causes = base.causes
    if "causes" in table:
        causes = tuple(Cause(c["cause"], str(c.get("look_for", ""))) for c in table["causes"])
    phase = cast(Phase, table.get("phase", base.phase))
    return Entry(base.code, phase=phase, causes=causes, good=base.good, **texts)
