"""The languages a bundle's fixed wording can stand in: English, and one file for each other."""

from __future__ import annotations

from typing import Final

from app.bundle.wording.errors import BundleError
from app.bundle.wording.finding_texts import language_files
from app.bundle.wording.unbroken import held
from app.bundle.wording.words import ENGLISH, Words
from app.bundle.wording.words_german import GERMAN

# What stands beside a file of `texts`, from before there were such files.
_TABLES: Final[dict[str, Words]] = {"en": ENGLISH, "de": GERMAN}


def _words(code: str) -> Words:
    # What a language lacks is said in English rather than not at all; a check names it.
    said = {**ENGLISH, **_TABLES.get(code, {}), **language_files()[code].get("words", {})}
    return {name: held(text) for name, text in said.items()}


_CODES = ("en", *sorted(set(language_files()) - {"en"}))
LANGUAGES: Final[dict[str, Words]] = {code: _words(code) for code in _CODES}
# As their readers call them.
LANGUAGE_NAMES: Final = {code: str(language_files()[code]["name"]) for code in _CODES}

# A coach may write in any; these are offered beside those of the page, by their names in them.
WRITTEN_IN: Final = {
    **LANGUAGE_NAMES,
    "ar": "العربية",
    "da": "Dansk",
    "es": "Español",
    "fa": "فارسی",
    "fi": "Suomi",
    "he": "עברית",
    "it": "Italiano",
    "ja": "日本語",
    "ko": "한국어",
    "nb": "Norsk",
    "nl": "Nederlands",
    "pl": "Polski",
    "pt": "Português",
    "ru": "Русский",
    "sv": "Svenska",
    "tr": "Türkçe",
    "uk": "Українська",
    "ur": "اردو",
    "zh": "中文",
}


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
