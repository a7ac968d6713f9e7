"""An athlete answers on a phone, and the coach's program reads what came: file, copy and share."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from app.bundle.options import WriteOptions
from app.bundle.write import write_bundle
from app.review.answers import belongs, parse_answers
from app.review.parts.answers import AthleteAnswers, Tick
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState

NOTES = (
    Note("id-a", 1.0, "Arms.\nCue: Long arms.\nDrill: Legs only."),
    Note("id-b", 2.0, "Back.\nCue: Sit tall."),
    Note("id-c", 3.0, "Hands.\nCue: Hands first."),
)
STATE = ReviewState(title="Autumn", athlete="Märta O’Neil / x", notes=NOTES)
COMMENT = 'Better. "Quotes" & שלום 🚣\nsecond line'
SAID = (
    Tick("id-a", True, "got"),
    Tick("id-b", False, "hurts", "left side"),
)


@pytest.fixture(scope="module")
def page_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("answers") / "sent"
    write_bundle(STATE, out.parent / "a.review", out, options=WriteOptions())
    return out / "index.html"


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport={"width": 360, "height": 800}, accept_downloads=True)
    yield context
    context.close()


def opened(phone: BrowserContext, path: Path, before: str = "") -> Page:
    page = phone.new_page()
    if before:
        page.add_init_script(before)
    page.goto(path.as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    return page


def answer(page: Page) -> None:
    page.get_by_label("Got it: note 1, Long arms.").check()
    page.get_by_label("It hurts: note 2, Sit tall.").check()
    page.get_by_label("In your words: note 2, Sit tall.").fill("left side")
    page.get_by_label("What did you feel?").fill(COMMENT)


def read(text: str | bytes) -> AthleteAnswers:
    data = text.encode() if isinstance(text, str) else text
    answers, left_out = parse_answers(data, "it")
    assert not left_out and belongs(answers, STATE)
    return answers


def test_each_answer_has_a_name_of_its_own(phone: BrowserContext, page_path: Path) -> None:
    page = opened(phone, page_path)
    names = [r.get_attribute("aria-label") for r in page.locator(".how input").all()]
    assert len(names) == len(set(names)) == 12


def test_what_hurts_is_answered_at_once_and_the_file_is_read(
    phone: BrowserContext, page_path: Path
) -> None:
    page = opened(phone, page_path)
    answer(page)
    assert page.locator("#note-2 .pain").inner_text().startswith("Stop here. Pain is a reason")
    assert page.locator("#note-1 .pain").inner_text() == ""
    assert page.get_by_text("Answered: 2 of 3").is_visible()
    with page.expect_download() as download:
        page.get_by_role("button", name="Save").click()
    today = datetime.date.today().isoformat()
    name = f"answers-Märta-O-Neil-x-{today}.json"
    assert download.value.suggested_filename == name
    answers = read(Path(download.value.path()).read_bytes())
    assert (answers.ticks, answers.comment) == (SAID, COMMENT)
    # Whether it was saved nobody told the page, so it does not say so.
    assert page.locator(".saved").inner_text().startswith(f"Your browser was asked to save {name}")


def test_what_was_answered_is_there_again_until_it_is_deleted(
    phone: BrowserContext, page_path: Path
) -> None:
    page = opened(phone, page_path)
    answer(page)
    assert "Kept on this device" in page.locator(".kept").inner_text()
    page.reload()
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert page.get_by_label("It hurts: note 2, Sit tall.").is_checked()
    assert page.get_by_label("In your words: note 2, Sit tall.").input_value() == "left side"
    assert page.get_by_label("What did you feel?").input_value() == COMMENT
    assert page.locator("#note-2 .pain").inner_text()
    page.get_by_role("button", name="Delete all").click()
    page.reload()
    assert page.locator(".how input:checked").count() == 0
    assert page.get_by_label("What did you feel?").input_value() == ""


def test_a_reader_that_keeps_nothing_says_so(phone: BrowserContext, page_path: Path) -> None:
    refuse = "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } })"
    page = opened(phone, page_path, refuse)
    answer(page)
    assert "keeps nothing" in page.locator(".kept").inner_text()


_CLIPBOARD = """Object.defineProperty(navigator, 'clipboard',
 { value: { writeText: async text => { window.taken = text; } } })"""
_NO_CLIPBOARD = """Object.defineProperty(navigator, 'clipboard',
 { value: { writeText: async () => { throw new Error('no'); } } })"""


def share(ends: str) -> str:
    return "navigator.share = async said => { window.taken = said.text; " + ends + " }"


@pytest.mark.parametrize(
    ("script", "button", "said"),
    [
        (_CLIPBOARD, "Copy", "Copied."),
        (share(""), "Share", "Handed to the app"),
        (share("throw new Error('closed');"), "Share", "Nothing was shared."),
    ],
)
def test_what_is_copied_or_shared_is_read(
    phone: BrowserContext, page_path: Path, script: str, button: str, said: str
) -> None:
    page = opened(phone, page_path, script)
    answer(page)
    page.get_by_role("button", name=button).click()
    page.get_by_text(said).wait_for()
    text: Any = page.evaluate("window.taken")
    answers = read(text)
    assert (answers.ticks, answers.comment) == (SAID, COMMENT)
    lines = text.splitlines()
    assert lines[0].startswith("Answers to Autumn, Märta O’Neil / x, 20")
    assert lines[2:4] == ["Note 2, Sit tall: It hurts (left side)", "Note 1, Long arms: Got it"]


def test_where_nothing_can_be_copied_the_text_lies_ready(
    phone: BrowserContext, page_path: Path
) -> None:
    page = opened(phone, page_path, _NO_CLIPBOARD)
    answer(page)
    page.get_by_role("button", name="Copy").click()
    page.locator("#by-hand").wait_for()
    assert read(page.locator("#by-hand").input_value()).ticks == SAID
    assert "Copied" not in page.locator("#answers").inner_text()
