"""The page in a real browser: Debian's Chromium, driven by Playwright, judged by axe-core."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from analysis.force.target import TargetCurve
from app.bundle.options import WriteOptions
from app.bundle.write import write_bundle
from app.review.parts.marks import Mark
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from tests.app.bundle.conftest import CATCHES_S, DRIVE_S, FPS, OFFSET_S, force_text
from tests.helpers.clips import number_in

CUE = "Hang off the handle first.\nYour back opens early.\nCue: Long arms.\nDrill: Legs only."
# The size of what is pressed is new in WCAG 2.2, and axe-core only looks at it when told to.
AXE = {"resultTypes": ["violations", "passes"], "rules": {"target-size": {"enabled": True}}}
HOSTILE = {
    "markup": '<script>window.ran = 1</script>"><img src=x onerror="window.ran = 1">'
    "' autofocus onfocus='window.ran = 1</title></script></style><svg onload=window.ran=1>",
    "script of others": "\u202eevil\u202c \u200fשלום\u200e مرحبا 🚣🏽‍♀️ 👩‍👩‍👧 " * 12,
    "one long word": "x" * 10_000,
    "many words": "word " * 2_000,
}


@pytest.fixture(scope="module")
def six(review: ReviewState) -> ReviewState:
    """A review of six notes of every kind, one with marks on its still."""
    at_s = CATCHES_S[0] + OFFSET_S + 0.25
    back = "The lower back rounds.\nCue: Sit tall.\nWith care: Stop where it hurts."
    notes = (
        Note("id-a", at_s, CUE, phase="catch", body_part="legs"),
        Note("id-b", 3.5, back, phase="drive", body_part="back"),
        Note("id-c", 3.6, "Same stroke, later.", phase="finish"),
        Note("id-d", 5.0, "Look at all of this.", end_s=6.2),
        Note("id-e", 7.5, "Hands away.\nCue: Hands first."),
        Note("id-f", 8.8, ""),
    )
    mark = Mark("m", "line", ((10.0, 90.0), (200.0, 100.0)), video_s=at_s)
    return replace(review, notes=notes, marks=(mark,))


@pytest.fixture(scope="module")
def shapes(
    six: ReviewState,
    review_path: Path,
    made_once: WriteOptions,
    tmp_path_factory: pytest.TempPathFactory,
) -> dict[str, Path]:
    """The page of that review as a folder and as a single file."""
    out = tmp_path_factory.mktemp("shapes")
    write_bundle(six, review_path, out / "sent", options=made_once)
    single = write_bundle(six, review_path, out / "single", single_file=True, options=made_once)
    return {"folder": out / "sent" / "index.html", "single": single.path}


@dataclass
class Seen:
    """What a page asked for and complained about."""

    asked: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


@contextmanager
def opened(browser: Browser, path: Path, width: int = 1280, **context: Any) -> Iterator[Page]:
    """Open a page; at the end, nothing came from outside and nobody complained."""
    seen = Seen()
    view = browser.new_context(viewport={"width": width, "height": 800}, **context)
    view.add_init_script(
        "addEventListener('securitypolicyviolation', e => console.error('policy', e.blockedURI))"
    )
    page = view.new_page()
    page.on("request", lambda request: seen.asked.append(request.url))
    page.on("console", lambda message: seen.said.append(message.text))
    page.on("pageerror", lambda error: seen.said.append(str(error)))
    page.on("dialog", lambda dialog: seen.said.append(dialog.message))
    page.goto(path.as_uri())
    try:
        yield page
        home = path.parent.as_uri() + "/"
        assert not [u for u in seen.asked if not u.startswith((home, "data:", "blob:"))]
        if "single" in path.name:
            assert not [u for u in seen.asked if u.startswith("file:") and u != path.as_uri()]
        assert not seen.said
    finally:
        view.close()


def until(page: Page, condition: str, arg: float = 0.0) -> None:
    """Wait in the page until something holds of `v`, its first clip.

    Playwright's own waiting compiles its condition anew each time, which the page's policy forbids.
    """
    page.evaluate(
        "arg => new Promise(done => { const v = document.querySelector('video');"
        f" const look = () => ({condition}) ? done() : setTimeout(look, 10); look(); }})",
        arg,
    )


def ready(page: Page) -> None:
    """Wait until the first clip can be moved in."""
    until(page, "v.readyState >= 2")


def now(page: Page) -> float:
    return float(page.evaluate("document.querySelector('video').currentTime"))


def cursor_x(page: Page) -> float:
    return float(page.locator(".cursor circle").first.get_attribute("cx") or "nan")


def settled(page: Page, time_s: float) -> None:
    until(page, "!v.seeking && Math.abs(v.currentTime - arg) < 0.03", time_s)


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_no_rule_of_accessibility_is_broken(
    browser: Browser, shapes: dict[str, Path], width: int
) -> None:
    """WCAG 2.2 A and AA and the good practice of axe-core, on all that can be unfolded."""
    with opened(browser, shapes["folder"], width) as page:
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        grounds = []
        # By night the colours alone are others.
        wanted = {"color-contrast", "label", "button-name", "image-alt", "target-size"}
        for scheme, options, rules in (
            ("light", AXE, wanted),
            ("dark", {"runOnly": ["color-contrast"]}, {"color-contrast"}),
        ):
            page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            results = Axe().run(page, options=options)
            assert not results.response["violations"], results.generate_report()
            assert rules <= {rule["id"] for rule in results.response["passes"]}
            ground = "getComputedStyle(document.documentElement).backgroundColor"
            grounds.append(page.evaluate(ground))
        assert grounds == ["rgb(255, 255, 255)", "rgb(20, 24, 26)"]


@pytest.mark.parametrize("shape", ["folder", "single"])
def test_moving_along_the_curve_moves_the_clip(
    browser: Browser, shapes: dict[str, Path], shape: str
) -> None:
    with opened(browser, shapes[shape]) as page:
        ready(page)
        track = page.locator(".track[data-run]").first
        track.scroll_into_view_if_needed()
        box = track.bounding_box()
        run = json.loads(track.get_attribute("data-run") or "")
        assert box is not None
        # Half way through the drive; the first knots are those of the clip's start and the finish.
        middle_s = (run["catch"] + run["finish"]) / 2000.0
        (t0, x0), (t1, x1), *_ = run["knots"]
        x = x0 + (1000.0 * middle_s - t0) / (t1 - t0) * (x1 - x0)
        page.mouse.move(box["x"] + 4, box["y"] + box["height"] / 2)
        page.mouse.down()
        page.mouse.move(box["x"] + x / 320 * box["width"], box["y"] + 10, steps=5)
        settled(page, middle_s)
        assert cursor_x(page) == pytest.approx(x, abs=1.0)
        page.mouse.up()
        page.mouse.move(box["x"] + 4, box["y"])  # let go: it stays
        assert now(page) == pytest.approx(middle_s, abs=0.03)
        # The frame on screen is the one the film showed then: half way from catch to finish.
        picture = page.locator("video").first.screenshot()
        image = cv2.imdecode(np.frombuffer(picture, np.uint8), cv2.IMREAD_COLOR)
        shown_s = number_in(image[..., ::-1]) / FPS
        assert shown_s == pytest.approx(CATCHES_S[0] + OFFSET_S + DRIVE_S / 2, abs=1.5 / FPS)
        # A half sine peaks in its middle; this one at 600 N.
        text = page.locator("input[type=range]").first.get_attribute("aria-valuetext") or ""
        percent, force = map(int, re.findall(r"(\d+)\s% of the drive: (\d+)\sN", text)[0])
        assert percent == pytest.approx(50, abs=2)
        assert force == pytest.approx(600, abs=6)


def test_keys_move_it_too_and_playing_moves_the_cursor(
    browser: Browser, shapes: dict[str, Path]
) -> None:
    with opened(browser, shapes["folder"], 360) as page:
        ready(page)
        slider = page.locator("input[type=range]").first
        assert slider.get_attribute("aria-label") == "Move through the clip of note 1"
        slider.focus()
        for _ in range(10):
            page.keyboard.press("ArrowRight")
        settled(page, 0.2)
        at = cursor_x(page)
        page.keyboard.press("ArrowLeft")
        settled(page, 0.18)
        assert cursor_x(page) < at
        page.keyboard.press("End")
        assert cursor_x(page) == pytest.approx(320, abs=1.5)  # the last frame
        page.keyboard.press("Home")
        settled(page, 0.0)
        play = page.get_by_role("button", name="Play", exact=True).first
        play.focus()
        page.keyboard.press("Enter")
        # Seen in one look: the clip starts over at its end, and a slow machine may look late.
        until(
            page,
            "v.currentTime > 0.15 && document.querySelector('.cursor circle').getAttribute('cx')"
            " > 20",
        )
        page.get_by_role("button", name="Pause", exact=True).first.press("Space")
        page.get_by_role("button", name="Slow: a quarter of the speed").first.click()
        until(page, "!v.paused && v.playbackRate === 0.25")
        # One clip at a time: the second starts, the first stops.
        page.get_by_role("button", name="Play", exact=True).first.click()
        until(page, "v.paused && !document.querySelectorAll('video')[1].paused")


@pytest.mark.parametrize("shape", ["folder", "single"])
def test_one_thing_sounds_at_a_time_and_a_clip_is_lent(
    browser: Browser, shapes: dict[str, Path], shape: str
) -> None:
    """Two notes on one stroke share its clip, and whatever starts stops the others."""
    with opened(browser, shapes[shape]) as page:
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        ready(page)
        if shape == "single":
            lent = page.locator("video[data-lent]").first
            assert (lent.get_attribute("src") or "").startswith("blob:")
        page.evaluate(
            "Promise.all([...document.querySelectorAll('video')].slice(0, 3).map(v => "
            "{ v.muted = true; return v.play().catch(() => 0); }))"
        )
        until(page, "[...document.querySelectorAll('video')].filter(v => !v.paused).length <= 1")


def test_a_clip_in_the_page_is_unpacked_when_its_fold_is_open(
    browser: Browser, shapes: dict[str, Path]
) -> None:
    with opened(browser, shapes["single"]) as page:
        until(page, "v.src.startsWith('blob:')")
        closed = page.locator(".note:has(details.fold:not([open])):has(video[data-file])").first
        film = closed.locator("video")
        assert (film.get_attribute("src") or "").startswith("data:")
        name = closed.get_attribute("id")
        closed.locator("summary").first.click()
        until(page, f"document.querySelector('#{name} video').src.startsWith('blob:')")
        assert page.locator(f"#{name} video").get_attribute("preload") == "metadata"


@pytest.mark.parametrize("shape", ["folder", "single"])
def test_it_says_all_without_scripts(browser: Browser, shapes: dict[str, Path], shape: str) -> None:
    with opened(browser, shapes[shape], 360, java_script_enabled=False) as page:
        assert page.locator("video[controls]").count() == 6
        assert page.locator("img.moment-still").count() == 6
        assert page.get_by_text("Long arms.").first.is_visible()
        assert page.locator(".sketch").first.is_visible()
        assert page.get_by_text("Buttons do not work here").is_visible()
        for gone in ("button", "input", "textarea", ".cursor", ".go"):
            assert not [e for e in page.locator(gone).all() if e.is_visible()], gone


def test_it_prints_on_two_pages_of_a4(browser: Browser, shapes: dict[str, Path]) -> None:
    with opened(browser, shapes["folder"], color_scheme="dark") as page:
        pdf = page.pdf(prefer_css_page_size=True)
    # PDF 32000-1, 7.7.3: one page object a page; A4 is 595 by 842 points.
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == 2
    boxes = re.findall(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert {(round(float(w)), round(float(h))) for w, h in boxes} <= {(595, 842), (596, 842)}


@pytest.mark.parametrize("count", [12, 40])
def test_many_notes_print_on_two_pages_in_nine_points(
    browser: Browser,
    review: ReviewState,
    review_path: Path,
    tmp_path: Path,
    count: int,
    made_once: WriteOptions,
) -> None:
    """What has no room is named, and nothing with a cue makes way for what has none."""
    texts = (CUE, "Here the lower back rounds.\nCue: Sit tall.", "Without a cue.", "")
    notes = tuple(Note(f"n{i}", 0.5 + 0.2 * i, texts[i % 4]) for i in range(count))
    state = replace(review, video=None, notes=notes)
    write_bundle(state, review_path, tmp_path / "sent", options=made_once)
    with opened(browser, tmp_path / "sent" / "index.html") as page:
        pdf = page.pdf(prefer_css_page_size=True)
        page.emulate_media(media="print")
        printed = [n.get_attribute("id") for n in page.locator(".note").all() if n.is_visible()]
        said = page.locator(".left-out").all_inner_texts()
        small = page.evaluate(
            "[...document.querySelectorAll('header *, main *, footer *')].filter(e => "
            "e.checkVisibility() && !e.closest('svg') && !e.matches('.hush') && "
            "[...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()) && "
            "parseFloat(getComputedStyle(e).fontSize) < 11.99).map(e => e.outerHTML)"
        )
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == 2
    assert not small  # 9 points are 12 px
    left = set(range(1, count + 1)) - {int(str(i).removeprefix("note-")) for i in printed}
    assert {"note-1", "note-2"} <= set(printed)
    named = {int(n) for text in said for n in re.findall(r"\d+", text)}
    assert named == left
    assert bool(left) == (count == 40)


def hostile(folder: Path, text: str) -> tuple[ReviewState, Path]:
    """A review with a text wherever a text can stand: names, notes, file name, column name."""
    short = text[:60].replace("/", "")
    header = f'time_s,force_N,position_m,"{short.replace(chr(34), chr(34) * 2)}"'
    rows = force_text().split("\n")[1:-1]
    path = folder / f"{short}.csv"
    path.write_text("\n".join([header, *(f"{row},1" for row in rows)]) + "\n", "utf-8")
    review_path = folder / f"{short}.review"
    words = f"{text}\nCue: {text}\nDrill: {text}\nWith care: {text}"
    notes = (
        Note(short, 1.35, words, phase=text, body_part=text),
        Note(f"{short} too", 3.5, text, phase=text),
    )
    trace = refer(path, "trace", review_path)
    state = ReviewState(title=text, athlete=text, trace=trace, notes=notes, target=TargetCurve())
    return state, review_path


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_words_neither_run_nor_break_the_layout(
    browser: Browser,
    tmp_path: Path,
    text: str,
    made_once: WriteOptions,
) -> None:
    state, review_path = hostile(tmp_path, text)
    write_bundle(state, review_path, tmp_path / "sent", options=made_once)
    with opened(browser, tmp_path / "sent" / "index.html", 360) as page:
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert page.locator("#curve").count() == 1  # the force was read in spite of its names
        assert page.evaluate("window.ran") is None
        for width in (360, 320, 1280):
            page.set_viewport_size({"width": width, "height": 800})
            assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("width", [320, 360, 640, 768, 1280])
def test_nothing_sticks_out(browser: Browser, shapes: dict[str, Path], width: int) -> None:
    """WCAG 1.4.10: no scrolling in two directions at 320 px; 640 px is 1280 px at 200 %."""
    with opened(browser, shapes["folder"], width) as page:
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        out = page.evaluate(
            "w => [...document.querySelectorAll('main *')].filter(e => {"
            " const r = e.getBoundingClientRect(); return r.width && r.right > w + 1; })"
            ".map(e => e.outerHTML.slice(0, 80))",
            width,
        )
        assert not out


def test_its_headings_tell_the_way(browser: Browser, shapes: dict[str, Path]) -> None:
    """What a screen reader lists, in order."""
    with opened(browser, shapes["folder"]) as page:
        tree = page.locator("body").aria_snapshot()
        places = [tree.index(name) for name in (
            'heading "Autumn" [level=1]', 'heading "Work on these two"',
            'navigation "On this page"', 'heading "What your coach saw"', 'heading /',
        ) if name != 'heading /']  # fmt: skip
        assert places == sorted(places)
        assert 'slider "Move through the clip of note 1"' in tree
        assert 'group "Play the clip of note 1"' in tree
