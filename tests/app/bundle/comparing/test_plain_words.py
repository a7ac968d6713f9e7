"""What is said in plain words of two curves."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from app.bundle.comparing.comparison_page import _plain
from app.bundle.page.own_words import OwnWords
from app.bundle.wording.languages import words_in


@pytest.mark.parametrize("is_force", [True, False])
@pytest.mark.parametrize("apart", [0.1, -0.1])
def test_only_of_a_force_is_it_said_who_pulls_harder(is_force: bool, apart: float) -> None:
    pair = SimpleNamespace(largest=(90.0, apart), is_force=is_force)
    curve = SimpleNamespace(axis="percent", pair=pair)
    card = cast(Any, SimpleNamespace(curves=(curve,), labels=("Stroke 7", "Stroke 1"), rows=()))
    said = _plain(card, words_in("en"), OwnWords("", "en"))
    more, less = ("harder", "softer") if is_force else ("higher", "lower")
    assert said.endswith(f"“Stroke 1” is {more if apart > 0 else less}.")
