"""Comparisons and the self-test in a real browser."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from app.bundle.options import WriteOptions
from app.bundle.write import write_bundle
from app.review.parts.comparisons import new_comparison
from app.review.parts.self_test import new_self_test
from app.review.parts.state import ReviewState
from app.review.values.stroke_ref import StrokeRef

ONE, TWO = StrokeRef("", 3.1, 3.9, 5.1, "<b>now</b>"), StrokeRef("", 1.1, 1.9, 3.1, "before")


@pytest.fixture(scope="module")
def page_path(
    review: ReviewState,
    review_path: Path,
    tmp_path_factory: pytest.TempPathFactory,
    made_once: WriteOptions,
) -> tuple[Path, ReviewState]:
    state = replace(
        review,
        notes=(),
        comparisons=(new_comparison(ONE, TWO, title="Then and now"),),
        self_test=new_self_test([(ONE, False, "Rounded."), (TWO, True, "Level.")], 2),
    )
    made = write_bundle(
        state, review_path, tmp_path_factory.mktemp("browser") / "out", options=made_once
    )
    return made.path / "index.html", state


@pytest.mark.parametrize("scripts", [True, False])
def test_answers_are_held_back_counted_and_collected(
    browser: Browser, page_path: tuple[Path, ReviewState], scripts: bool
) -> None:
    path, state = page_path
    assert state.self_test is not None
    context = browser.new_context(java_script_enabled=scripts)
    page = context.new_page()
    page.goto(path.as_uri())
    test = page.locator("#self-test")
    test.locator("> details > summary").click()
    assert not test.get_by_text("Rounded.").is_visible()
    test.locator(".item summary").nth(0).click()
    test.locator(".item summary").nth(1).click()
    assert test.get_by_text("Rounded.").is_visible() and test.get_by_text("Level.").is_visible()
    # The first seen as the coach sees it, the second not.
    first, second = state.self_test.items
    for item, value in ((first, first.right), (second, not second.right)):
        word = "right" if value else "wrong"
        test.locator(f'input[name="self-test-{item.id}"][value="{word}"]').check()
    test.locator(".score summary").click()
    test.locator(".hits").wait_for()
    if scripts:
        said = page.evaluate(
            "() => { const h = document.querySelector('.hits');"
            " return getComputedStyle(h, '::after').content; }"
        )
        assert "counter(hits)" in said
        with page.expect_download() as waiting:
            page.locator("#answers .save").click()
        told = json.loads(waiting.value.path().read_text("utf-8"))
        assert told["self_test"] == [
            {"id": first.id, "answer": "right" if first.right else "wrong"},
            {"id": second.id, "answer": "wrong" if second.right else "right"},
        ]
    # What a reader sees of the count; it is made by the style sheet.
    assert test.locator(".item input.hit:checked").count() == 1
    context.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_runs_over_the_edge_and_all_can_be_used(
    browser: Browser, page_path: tuple[Path, ReviewState], width: int
) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800})
    page = context.new_page()
    page.goto(page_path[0].as_uri())
    page.locator("#self-test > details > summary").click()
    for fold in page.locator("#compare .more > summary").all():
        fold.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    found = Axe().run(page, context={"include": [["#compare"], ["#self-test"]]})
    assert found.response["violations"] == [], found.generate_report()
    context.close()
