"""Every language says all that English says."""

from __future__ import annotations

import re
import string
from dataclasses import replace
from pathlib import Path

import html5lib
import pytest

from analysis.findings.catalogue import TEXTS
from analysis.force.flywheel import LIMITS
from analysis.measures.measures import Measures
from analysis.measures.registry import KEYS, SPEC_OF
from app.bundle.options import WriteOptions
from app.bundle.wording.captions import captions
from app.bundle.wording.errors import BundleError
from app.bundle.wording.finding_texts import (
    code_of,
    finding_texts,
    language_files,
    notes_in,
    said_in,
)
from app.bundle.wording.languages import LANGUAGE_NAMES, LANGUAGES, words_in
from app.bundle.wording.mark_words import marks_named
from app.bundle.wording.measure_words import measures_in, sentences
from app.bundle.wording.unbroken import held
from app.bundle.wording.words import ENGLISH, wheel_limits
from app.bundle.write import write_bundle
from app.review.mark_shapes import named
from app.review.parts.marks import MARK_KINDS, POINTS_OF, Mark
from app.review.parts.notes import BODY_PARTS, PHASES, Note
from app.review.parts.state import ReviewState

OTHERS = sorted(set(LANGUAGES) - {"en"})


def placeholders(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


@pytest.mark.parametrize("language", OTHERS)
def test_no_wording_is_missing(language: str) -> None:
    words = LANGUAGES[language]
    missing = sorted(set(ENGLISH) - set(words))
    assert not missing, f"words_*.py for {language!r} lacks: {', '.join(missing)}"
    of_measures = {f"{of}_{key}" for of in ("measure", "meaning") for key in KEYS}
    unknown = sorted(set(words) - set(ENGLISH) - of_measures)
    assert not unknown, f"not in words.py: {', '.join(unknown)}"


@pytest.mark.parametrize("language", OTHERS)
def test_the_placeholders_are_the_same(language: str) -> None:
    words = LANGUAGES[language]
    wrong = [n for n in ENGLISH if placeholders(ENGLISH[n]) != placeholders(words.get(n, ""))]
    assert not wrong, f"other placeholders than English in: {', '.join(wrong)}"


@pytest.mark.parametrize("language", OTHERS)
def test_it_is_a_translation(language: str) -> None:
    """Hardly a sentence is the same in two languages: one that is was forgotten."""
    words = LANGUAGES[language]
    same = [n for n in ENGLISH if words[n] == ENGLISH[n] and len(ENGLISH[n].split()) > 2]
    assert not same, f"still in English: {', '.join(same)}"


def test_each_knows_its_name() -> None:
    assert {code: words["language"] for code, words in LANGUAGES.items()} == {
        code: code for code in LANGUAGES
    }
    assert set(LANGUAGE_NAMES) == set(LANGUAGES)
    with pytest.raises(BundleError, match="choose one of: en, de, fr"):
        words_in("tlh")


@pytest.mark.parametrize("language", LANGUAGES)
def test_whatever_has_a_name_has_one_in_each(language: str) -> None:
    words = LANGUAGES[language]
    assert [m.name for m in measures_in(words)] == list(KEYS)
    assert all(words[f"phase_{phase}"] for phase in PHASES)
    assert all(words[f"part_{part}"] for part in BODY_PARTS)
    assert len(wheel_limits(words)) == len(LIMITS)


@pytest.mark.parametrize("language", OTHERS)
def test_a_measure_without_words_is_said_in_its_own(language: str) -> None:
    spec = replace(SPEC_OF["peak_n"], key="new_w", title="Something new", meaning="It is new.")
    (word,) = measures_in(LANGUAGES[language], [spec])
    assert (word.title, word.meaning, word.unit) == ("Something new", "It is new.", "N")
    (known,) = measures_in(LANGUAGES[language], [SPEC_OF["peak_n"]])
    assert known.title != SPEC_OF["peak_n"].title


def test_the_english_of_the_model_is_the_models_own() -> None:
    assert wheel_limits(ENGLISH) == LIMITS


def test_marks_are_named_as_the_bench_names_them() -> None:
    marks = [
        Mark(kind, kind, tuple((40.0 * i, 30.0 * i * i) for i in range(POINTS_OF[kind] or 3)))
        for kind in MARK_KINDS
    ]
    assert marks_named(marks, 0.01, ENGLISH) == list(named(marks, 0.01))


def test_numbers_are_written_as_the_language_writes_them() -> None:
    own = Measures(drive_s=0.93, recovery_s=1.74, rate_spm=22.4, peak_n=1601.2)
    said = " ".join(sentences(own, {}, LANGUAGES["de"])).replace("\u00a0", " ")
    assert said == (
        "Dein stärkster Zug war 1\u202f601 N. Der Durchzug dauerte 0,93 s und das Vorrollen "
        "1,74 s, bei 22 Schlägen in der Minute."
    )


def test_a_page_in_german(
    force_only: ReviewState, review_path: Path, tmp_path: Path, made_once: WriteOptions
) -> None:
    note = Note("a", 1.35, "Lange Arme.\nCue: Arme lang.", phase="drive", body_part="arms")
    state = ReviewState(
        athlete="Maren", trace=force_only.trace, notes=(note,), target=force_only.target
    )
    write_bundle(state, review_path, tmp_path / "de", language="de", options=made_once)
    page = (tmp_path / "de" / "index.html").read_text("utf-8")
    document = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    assert document.get("lang") == "de"
    shown = "\n".join(t.strip() for t in document.find("body").itertext() if t.strip())
    shown = shown[: shown.index('"use strict"')]
    for word in ("Für Maren", "Daran arbeitest du", "Durchzug", "Arme", "0:01,4", "Merksatz"):
        assert word in shown, word
    # Whatever English says in more than two words would show here had it not been translated.
    english = [t for t in ENGLISH.values() if len(t.split()) > 2 and "{" not in t and t in shown]
    assert not english
    assert (tmp_path / "de" / "notes.vtt").read_text("utf-8").count("[Durchzug, Arme]") == 1


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_finding_is_told_in_each(language: str) -> None:
    """What the catalogue says stands in each language, with a caution wherever it has one."""
    english, texts = finding_texts("en"), finding_texts(language)
    assert set(texts) == set(english)
    for code, entry in english.items():
        said = texts[code]
        assert said.plain and bool(said.film) == bool(entry.drill), code
        for name in TEXTS:
            assert bool(getattr(said, name)) == bool(getattr(entry, name)), (code, name)
            if language != "en" and getattr(entry, name):
                assert getattr(said, name) != getattr(entry, name), (code, name)


def kept_note(language: str) -> str:
    said, words = finding_texts(language)["give"], LANGUAGES[language]
    ways = (("cue", said.cue), ("drill", said.drill), ("care", said.caution))
    return "\n".join([said.title, said.what, *(f"{words[k]}: {text}" for k, text in ways)])


@pytest.mark.parametrize("language", OTHERS)
def test_a_kept_finding_is_said_in_the_language_and_own_words_stay(language: str) -> None:
    words = LANGUAGES[language]
    note = Note("a", 1.0, kept_note("en") + "\nMine.\nCue: My own cue.")
    (said,) = notes_in([note], language, words)
    assert said.text == kept_note(language) + "\nMine.\nCue: My own cue."
    (back,) = notes_in([Note("a", 1.0, kept_note("en"))], "en", ENGLISH)
    assert back.text == kept_note("en")


@pytest.mark.parametrize("language", OTHERS)
def test_a_whole_page_holds_no_english(
    language: str, force_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    """Cues, drills, cautions, the session and the answers; and the caution on the back is there."""
    state = ReviewState(
        trace=force_only.trace,
        notes=(Note("a", 1.35, kept_note("en")),),
        target=force_only.target,
    )
    out = write_bundle(state, review_path, tmp_path / language, language=language).path
    page = (out / "index.html").read_text("utf-8")
    document = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    for script in document.iter("script"):
        script.text = ""
    shown = "\n".join(t.strip() for t in document.find("body").itertext() if t.strip())
    told = finding_texts(language)["give"]
    words = LANGUAGES[language]
    for text in (told.title, told.cue, told.drill, told.caution, told.plain, told.film):
        assert held(text) in shown, text
    assert words["caution_pain"] in shown and words["caution_describes"] in shown
    english = [t for t in ENGLISH.values() if len(t.split()) > 2 and "{" not in t]
    english += [t for name in TEXTS for t in [getattr(finding_texts("en")["give"], name)] if t]
    assert not [t for t in english if t in shown]
    assert told.cue in (out / "notes.vtt").read_text("utf-8")


def test_nobody_is_called_by_a_gender() -> None:
    """Who coaches may be anybody: the page says what was seen, not by a he or a she."""
    for language in ("de", "fr"):
        said = " ".join(LANGUAGES[language].values()).replace("{coach}", "")
        assert not re.search(r"\b(Trainers?|Trainerin|entraîneure?s?|coach)\b", said)


def test_captions_name_an_empty_note_in_the_language() -> None:
    assert "\nAnmerkung 1\n" in captions([Note("a", 1.0)], LANGUAGES["de"])


@pytest.mark.parametrize(
    ("said", "language", "now"),
    [
        ("No plateau", "en", "No plateau"),  # the coach saw it so
        ("No plateau", "de", "Kurz und spitz gezogen"),
        ("Kein Plateau", "en", "Short, sharp pull"),
        ("Garde cette largeur.", "de", "Behalte diesen langen Zug."),
    ],
)
def test_what_was_reworded_is_still_known_in_earlier_reviews(
    said: str, language: str, now: str
) -> None:
    assert said_in(said, language) == now
    assert code_of(said)


@pytest.mark.parametrize("language", LANGUAGES)
def test_former_words_name_a_finding_and_are_no_longer_said(language: str) -> None:
    texts = finding_texts(language)
    now = {getattr(text, name) for text in texts.values() for name in TEXTS}
    for said, (code, name) in language_files()[language]["former"].items():
        assert getattr(texts[code], name) and said not in now
