from __future__ import annotations

import re
from pathlib import Path

import pytest

import app.bundle.page
from app.scene.colours import BAND, BLACK, BLUE, EDGE, INK, MIST, NIGHT, PAPER, QUIET_INK
from tests.helpers.contrast import contrast

# What stands on what on the page.
TEXT_PAIRS = (
    (BLACK, PAPER),
    (INK, PAPER),
    (INK, MIST),
    (QUIET_INK, PAPER),
    (QUIET_INK, MIST),
    (BLUE, PAPER),
    (BLUE, MIST),
    (PAPER, BLUE),
    (PAPER, INK),
)
LINE_PAIRS = (
    (BLACK, PAPER),
    (BLUE, PAPER),
    (BLUE, BAND),
    (BLACK, BAND),
    (EDGE, PAPER),
    (BLUE, MIST),
)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        # Computed from the formula of WCAG 2.2; the pairs of pure colours are also printed in
        # textbooks as 21, 8.59 and 2.15.
        ("#000000", "#FFFFFF", 21.0),
        ("#767676", "#FFFFFF", 4.542),
        ("#777777", "#FFFFFF", 4.478),
        ("#595959", "#FFFFFF", 7.005),
        ("#949494", "#FFFFFF", 3.033),
        ("#0000FF", "#FFFFFF", 8.592),
        ("#0000FF", "#FF0000", 2.149),
        # The Okabe–Ito colours on white.
        ("#0072B2", "#FFFFFF", 5.19),
        ("#E69F00", "#FFFFFF", 2.25),
    ],
)
def test_the_formula(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)
    assert contrast(other, one) == contrast(one, other)


@pytest.mark.parametrize("pair", TEXT_PAIRS)
def test_words_can_be_read(pair: tuple[str, str]) -> None:
    assert contrast(*pair) >= 4.5


@pytest.mark.parametrize("pair", LINE_PAIRS)
def test_lines_can_be_seen(pair: tuple[str, str]) -> None:
    assert contrast(*pair) >= 3.0


def test_the_style_sheet_has_no_colour_of_its_own() -> None:
    folder = Path(app.bundle.page.__file__).parent
    css = (folder / "templates" / "style.css").read_text("utf-8")
    assert not re.findall(r"#[0-9A-Fa-f]{3,8}\b|rgba?\(|hsla?\(", css)
    for page in (folder / "templates").glob("*.html"):
        assert not re.findall(r'(?:fill|stroke|color)="', page.read_text("utf-8"))


def test_every_ground_of_words_is_checked() -> None:
    """The declared pairs cover what the style sheet writes: words in these colours, on these."""
    css = (Path(app.bundle.page.__file__).parent / "templates" / "style.css").read_text("utf-8")
    inks = set(re.findall(r"[^-]color: var\(--([a-z]+)\);", css))
    assert inks == {"ink", "quiet", "blue", "paper", "black"}
    grounds = set(re.findall(r"background: var\(--([a-z]+)\);", css))
    assert grounds == {"paper", "mist", "ink", "blue"}


@pytest.mark.parametrize("pair", TEXT_PAIRS)
def test_words_can_be_read_by_night(pair: tuple[str, str]) -> None:
    assert contrast(*(NIGHT[c] for c in pair)) >= 4.5


@pytest.mark.parametrize("pair", LINE_PAIRS)
def test_lines_can_be_seen_by_night(pair: tuple[str, str]) -> None:
    assert contrast(*(NIGHT[c] for c in pair)) >= 3.0
