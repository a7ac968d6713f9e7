"""The coach's own templates for the texts around the notes, in one small file of their own."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from app.bundle.wording.errors import BundleError
from app.files import atomic

OPENING, NEXT = "opening", "next_session"
LONGEST: Final = 10_000
MOST: Final = 100
# To begin with; a coach changes them and keeps others beside them. `{…}` is filled by `fill.py`.
BUILT_IN: Final[Mapping[str, Mapping[str, Mapping[str, str]]]] = {
    OPENING: {
        "en": {
            "One thing first": (
                "Hello {athlete}, thank you for the film. Take one thing from it: the first note "
                "below. Leave the others until that one feels easy."
            ),
            "With the numbers": (
                "Hello {athlete}, I looked at {strokes} strokes at {rate} a minute, peak {peak} N. "
                "There are {notes} notes; they stand in the order I would work on them."
            ),
        },
        "de": {
            "Erst eines": (
                "Hallo {athlete}, danke für den Film. Nimm eines daraus mit: die erste Anmerkung "
                "unten. Lass die anderen liegen, bis sie dir leichtfällt."
            ),
        },
    },
    NEXT: {
        "en": {
            "Short and easy": (
                "Before you film again: three sessions at an easy rate, ten minutes of the drill "
                "in each, then fifteen strokes as you would race them. Stop if anything hurts."
            ),
        },
        "de": {
            "Kurz und ruhig": (
                "Bis zum nächsten Film: drei ruhige Einheiten, in jeder zehn Minuten die Übung, "
                "dann fünfzehn Schläge wie im Rennen. Hör auf, wenn etwas weh tut."
            ),
        },
    },
}


class TextTemplates:
    """Templates by place and name: those of the program, under those of the coach.

    A file that cannot be read costs the coach's own templates for now, never the file itself.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._own: dict[str, dict[str, str]] = {OPENING: {}, NEXT: {}}
        self.problem = ""
        try:
            self._own = _checked(json.loads(path.read_text("utf-8")))
        except FileNotFoundError:
            pass
        except (OSError, ValueError, RecursionError):
            self.problem = (
                f"Your templates in {path.name} could not be read; the file is kept as it is, and "
                "new ones go into a new file beside it."
            )

    def names(self, place: str, language: str) -> tuple[str, ...]:
        """Names of all templates of a place, the coach's own first."""
        own = self._own[place]
        built_in = BUILT_IN[place].get(language, BUILT_IN[place]["en"])
        return (*own, *(name for name in built_in if name not in own))

    def text(self, place: str, name: str, language: str) -> str:
        """The text of a template, "" where there is none of that name."""
        built_in = BUILT_IN[place].get(language, BUILT_IN[place]["en"])
        return self._own[place].get(name, built_in.get(name, ""))

    def is_own(self, place: str, name: str) -> bool:
        """Whether the coach made or changed it."""
        return name in self._own[place]

    def keep(self, place: str, name: str, text: str) -> None:
        """Keep a text under a name; one of that name is replaced.

        Raises
        ------
        BundleError
            The name is empty, there are too many, or the file cannot be written.
        """
        name = " ".join(name.split())[:80]
        if not name:
            raise BundleError("A template needs a name; the text is kept in the review.")
        own = self._own[place]
        if name not in own and len(own) >= MOST:
            raise BundleError(f"There are {MOST} templates; remove one to keep another.")
        self._write({**self._own, place: {**own, name: text[:LONGEST]}})

    def remove(self, place: str, name: str) -> None:
        """Remove one of the coach's own; a built-in of the same name comes back."""
        rest = {n: text for n, text in self._own[place].items() if n != name}
        self._write({**self._own, place: rest})

    def _write(self, own: dict[str, dict[str, str]]) -> None:
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            if self.problem:
                self._path.replace(self._path.with_name(self._path.name + ".unreadable"))
            text = json.dumps(own, indent=1, ensure_ascii=False)
            # Half a character, which a clipboard can hold, must not cost the other templates.
            atomic.write(self._path, text.encode("utf-8", "replace"), atomic.PRIVATE)
        except OSError as error:
            reason = (error.strerror or "the system refused").lower()
            raise BundleError(
                f"The template could not be kept ({reason}); the text stays in the review."
            ) from error
        self._own, self.problem = own, ""


def _checked(loaded: object) -> dict[str, dict[str, str]]:
    """Take what a file holds, text by text; raises ValueError where it is nothing of the kind."""
    if not isinstance(loaded, dict):
        raise ValueError("no table of templates")
    own: dict[str, dict[str, str]] = {}
    for place in (OPENING, NEXT):
        texts = loaded.get(place, {})
        if not isinstance(texts, dict):
            raise ValueError("no table of texts")
        own[place] = {
            str(name)[:80]: text[:LONGEST]
            for name, text in list(texts.items())[:MOST]
            if isinstance(text, str)
        }
    return own
