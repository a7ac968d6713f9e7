from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.bundle.wording.text import clean, clock, one_line, with_capital


@given(st.text(max_size=300) | st.text(st.characters(categories=["Cc", "Cs", "Cn", "Cf"])))
def test_cleaned_text_can_be_written_and_stays_clean(text: str) -> None:
    once = clean(text)
    once.encode("utf-8")
    assert clean(once) == once
    assert not [c for c in once if unicodedata.category(c) in ("Cc", "Cs") and c not in "\n\t"]


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("🚣🏽‍♀️", "🚣🏽‍♀️"),
        ("\u200fשלום", "\u200fשלום"),
        ("a\r\nb\rc", "a\nb\nc"),
        ("\u202eabc", "abc"),
        ("nul\x00", "nul"),
        ("e\u0301", "é"),
    ],
)
def test_what_can_be_read_is_kept(text: str, kept: str) -> None:
    assert clean(text) == kept


def test_one_line() -> None:
    assert one_line(" a\n\n b\tc ") == "a b c"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0.0, "0:00.0"), (7.44, "0:07.4"), (59.97, "1:00.0"), (3723.4, "1:02:03.4"), (-1.0, "0:00.0")],
)
def test_times_as_people_read_them(seconds: float, text: str) -> None:
    assert clock(seconds) == text


@pytest.mark.parametrize(
    ("text", "language", "shown"),
    [
        ("hang on tight", "en", "Hang on tight"),
        ("écoute le volant", "fr", "Écoute le volant"),
        ("ileri", "tr", "İleri"),
        ("ileri", "en", "Ileri"),
        ("iPhone away", "en", "iPhone away"),
        ("20 strokes", "en", "20 strokes"),
        ("אל תמהר", "he", "אל תמהר"),
        ("", "en", ""),
    ],
)
def test_a_line_of_its_own_begins_with_a_capital(text: str, language: str, shown: str) -> None:
    assert with_capital(text, language) == shown
