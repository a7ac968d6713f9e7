"""The languages a bundle's fixed wording can stand in."""

from __future__ import annotations

from typing import Final

from app.bundle.wording.errors import BundleError
from app.bundle.wording.words import ENGLISH, Words
from app.bundle.wording.words_german import GERMAN

LANGUAGES: Final[dict[str, Words]] = {"en": ENGLISH, "de": GERMAN}
# As their readers call them.
LANGUAGE_NAMES: Final = {"en": "English", "de": "Deutsch"}


def words_in(language: str) -> Words:
    """Give the fixed wording in a language by its code.

    Raises
    ------
    BundleError
        There is no such wording.
    """
    words = LANGUAGES.get(language)
    if words is None:
        known = ", ".join(LANGUAGES)
        raise BundleError(
            f"There is no wording in the language {language!r}; choose one of: {known}."
        )
    return words
