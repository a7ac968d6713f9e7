from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from urllib.parse import urlsplit

import html5lib
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.clocks.alignment import Alignment
from app.bundle.options import WriteOptions
from app.bundle.page import page as page_module
from app.bundle.wording.text import clean
from app.bundle.wording.words import ENGLISH, caution
from app.bundle.write import BundleResult, write_bundle
from app.review.parts.notes import BODY_PARTS, PHASES, Note
from app.review.parts.state import ReviewState

CAUTION = caution(ENGLISH)
HOSTILE = [
    "<script>alert(1)</script>",
    "</style><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "javascript:alert(1)",
    "{{ 7 * 7 }}{% raw %}",
    "&lt;b&gt; &amp; &#0; &notanentity;",
    "<!-- --> ]]> <![CDATA[",
    "\u202eevil\u202c \u200fשלום\u200e",
    "🚣🏽‍♀️ 👩‍👩‍👧",
    "a\x00b\x07c\x1b[31m\x7f\x85",
    "\ud800 \ufffe \ufdd0",
    "=cmd|' /C calc'!A0",
    "x" * 10_000,
    "word " * 2_000,
    "https://example.org/tracker.png",
]


def strict(page: str) -> object:
    """Parse as the HTML standard says; any parse error is raised."""
    return html5lib.HTMLParser(strict=True).parse(page)


class Links(HTMLParser):
    """Collects what a page would load or could run."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    @property
    def addresses(self) -> list[str]:
        names = ("src", "href", "poster", "srcset", "data", "action", "formaction", "xlink:href")
        return [a[n] or "" for _, a in self.tags for n in names if n in a]


def page_of(state: ReviewState, review_path: Path, out: Path) -> str:
    # No clip is made twice for these pages.
    options = WriteOptions(clips=review_path.parent.parent / "kept")
    write_bundle(state, review_path, out, options=options)
    return (out / "index.html").read_text("utf-8")


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "feedback"


@pytest.fixture
def page(written: BundleResult) -> str:
    return (written.path / "index.html").read_text("utf-8")


def test_the_page_is_valid(page: str) -> None:
    strict(page)
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    for target in re.findall(r'(?:href="#|aria-labelledby=")([^"]+)"', page):
        assert target in ids


def test_everything_it_names_is_in_the_bundle_and_nothing_else_is_asked_for(
    page: str, written: BundleResult
) -> None:
    addresses = Links(page).addresses
    assert len(addresses) > 15
    for address in addresses:
        parts = urlsplit(address)
        assert (parts.scheme, parts.netloc) == ("", ""), address
        if parts.path:
            assert (written.path / parts.path).is_file(), address
    style = page[page.index("<style>") : page.index("</style>")]
    assert "url(" not in style
    assert "@import" not in style


def hash_of(page: str, tag: str) -> str:
    """The hash a content security policy knows the contents of an element by (CSP level 3)."""
    text = page[page.index(f"<{tag}>") + len(tag) + 2 : page.index(f"</{tag}>")]
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def test_only_its_own_script_runs_and_nothing_comes_from_outside(page: str) -> None:
    tags = Links(page).tags
    assert not {"iframe", "object", "embed", "form", "link", "base"} & {t for t, _ in tags}
    assert [a for t, a in tags if t == "script"] == [{}]
    assert not [a for _, a in tags if any(n.startswith("on") or n == "style" for n in a)]
    (policy,) = (a["content"] for t, a in tags if a.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    rules = dict(r.strip().split(" ", 1) for r in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["img-src"] == "'self' file: data:"
    assert rules["media-src"] == "'self' file: data:"  # a track of captions lies in the page
    assert not re.search(r"https?:|\*|unsafe", policy)
    assert rules["style-src"] == hash_of(page, "style")
    assert rules["script-src"] == hash_of(page, "script")


def test_the_script_asks_for_nothing() -> None:
    """Nothing in it could send or fetch, and none of it makes markup out of text."""
    script = (Path(page_module.__file__).parent / "templates" / "page.js").read_text("utf-8")
    assert not re.search(
        r"fetch|XMLHttp|WebSocket|sendBeacon|EventSource|import\b|eval|Function\(|innerHTML|"
        r"outerHTML|insertAdjacent|document\.write|sessionStorage|indexedDB|cookie|https?:", script
    )  # fmt: skip


def test_the_single_page_holds_all_it_needs(
    review: ReviewState, review_path: Path, out: Path, made_once: WriteOptions
) -> None:
    path = write_bundle(review, review_path, out, single_file=True, options=made_once).path
    page = path.read_text("utf-8")
    strict(page)
    addresses = [a for a in Links(page).addresses if not a.startswith("#")]
    assert len(addresses) > 15
    assert all(a.startswith("data:") for a in addresses)
    record = next(a for a in addresses if a.startswith("data:application/json"))
    assert json.loads(base64.b64decode(record.split(",", 1)[1]))["title"] == "Autumn"
    assert "img-src data:; media-src data: blob:;" in page
    files = re.findall(r'data-file="([^"]+)"', page)
    assert len(files) == len(set(files)) > 2, "each clip lies in the page once"
    lent = set(re.findall(r'data-lent="([^"]+)"', page))
    assert lent and lent <= set(files), "two notes on one stroke share its clip"


def test_it_can_be_read_by_ear_and_reached_by_key(page: str) -> None:
    links = Links(page)
    tags = [t for t, _ in links.tags]
    assert all(tags.count(t) == 1 for t in ("h1", "main", "header", "footer", "title"))
    assert '<html lang="en" dir="ltr">' in page
    for tag, attributes in links.tags:
        if tag == "img":
            assert len(attributes["alt"] or "") > 20
        if tag == "video":
            assert "controls" in attributes
            assert attributes["aria-label"]
            assert "autoplay" not in attributes
        if tag == "input":
            assert attributes.get("aria-label") or attributes["type"] == "checkbox"
        if tag == "svg":
            assert attributes.get("aria-hidden") == "true" or attributes.get("aria-label")
        if tag == "th":
            assert attributes["scope"] in ("col", "row")
    levels = [int(t[1]) for t in tags if re.fullmatch(r"h[1-6]", t)]
    assert all(b - a <= 1 for a, b in pairwise(levels))
    first_link = next(a for t, a in links.tags if t == "a")
    assert first_link["href"] == "#notes"


def test_the_coachs_words_come_before_curve_and_numbers(page: str) -> None:
    body = page[page.index("<body") :]
    order = [body.index(mark) for mark in (
        'id="work"', "Hang off the handle first.", 'id="session"', 'id="notes"', 'id="note-1"',
        'id="curve"', 'id="numbers"', "What would change", 'id="caution"', 'id="next"',
        'id="answers"',
    )]  # fmt: skip
    assert order == sorted(order)


def test_a_draft_says_so_on_its_first_line(
    force_only: ReviewState, review_path: Path, out: Path
) -> None:
    page = page_of(replace(force_only, draft=True), review_path, out)
    text = re.sub(r"<[^>]+>", "\n", page[page.index("<body") :])
    first = next(line.strip() for line in text.split("\n") if line.strip())
    assert first == ENGLISH["draft"]
    assert "no coach has seen this" in first
    assert "What your coach saw" not in page
    strict(page)


def test_a_reviewed_bundle_does_not_call_itself_a_draft(page: str) -> None:
    assert "no coach has seen" not in page


@pytest.mark.parametrize(
    "note",
    [
        Note("a", 1.0, "Keep your BACK long."),
        Note("a", 1.0, "low back"),
        Note("a", 1.0, "Feel the lumbar curve"),
        Note("a", 1.0, "A straight spine."),
        Note("a", 1.0, "Sit up", body_part="back"),
    ],
)
def test_the_back_is_never_spoken_of_without_the_caution(
    note: Note, review_path: Path, out: Path
) -> None:
    page = page_of(ReviewState(notes=(note,)), review_path, out)
    assert all(line in page for line in CAUTION)
    assert page.count('href="#caution"') >= 2
    strict(page)


def test_other_words_do_not_raise_the_caution(
    words_only: ReviewState, review_path: Path, out: Path
) -> None:
    note = Note("a", 1.0, "Play the feedback, then push back-to-front: spinning backwards.")
    plain = page_of(words_only, review_path, out)
    assert CAUTION[0] not in plain
    said = page_of(replace(words_only, notes=(replace(note, text="feedback"),)), review_path, out)
    assert CAUTION[0] not in said


def test_the_caution_says_what_it_must() -> None:
    text = " ".join(CAUTION).lower()
    for word in ("estimate", "diagnosis", "pain", "stop", "licensed clinician", "own eyes",
                 "history", "growing", "lower", "minor", "safeguarding"):  # fmt: skip
        assert word in text


@pytest.mark.parametrize(("method", "said"), [("assumed", True), ("by hand", False)])
def test_an_unchecked_line_up_is_admitted(
    review: ReviewState,
    review_path: Path,
    out: Path,
    made_once: WriteOptions,
    method: str,
    said: bool,
) -> None:
    state = replace(review, notes=(), alignment=Alignment(method=method))
    result = write_bundle(state, review_path, out, options=made_once)
    page = (out / "index.html").read_text("utf-8")
    assert (ENGLISH["not_lined_up"] in page) is said
    assert (ENGLISH["not_lined_up"] in result.remarks) is said


def test_what_would_change_is_arithmetic_a_reader_can_follow(page: str) -> None:
    table = page[page.index('<table class="change">') :]
    rows = re.findall(r'<th scope="row">([^<]+)</th><td>([^<]+)</td><td>([^<]+)</td>'
                      r'<td class="gap">([^<]+)</td>', table)  # fmt: skip
    assert [r[0] for r in rows] == [
        "Peak force, N", "Plateau, %", "Mean-to-peak ratio, %",
        "Drive time, s", "Fastest handle speed, m/s", "Peak power, W",
        "Rate of force development, N/s", "Flywheel speed from slowest to fastest, % of its mean",
        "Mean power, W",
    ]  # fmt: skip
    for _, now, target, gap in rows:
        a, b = (float(t.replace("\u202f", "")) for t in (now, target))
        shown = 0.0 if gap == "as now" else float(gap.replace("\u202f", "").replace("−", "-"))
        assert b - a == pytest.approx(shown)
    # A half sine of 600 N: mean over its 5 % to 5 % drive a little above 2 / pi of the peak.
    assert float(rows[0][1]) == pytest.approx(600, abs=6)
    assert float(rows[2][1]) == pytest.approx(100 * 2 / 3.14159, abs=3)


def test_every_fixed_word_is_used_and_filled(page: str) -> None:
    here = Path(__file__).parents[4] / "app" / "bundle"
    source = "".join(
        p.read_text("utf-8")
        for p in [*here.rglob("*.py"), *here.rglob("*.html"), *here.rglob("*.js")]
        if not p.name.startswith("words")
    )
    source += (here / "wording" / "words.py").read_text("utf-8").split("\n}\n", 1)[1]
    built = [*re.findall(r"words\[f['\"]([a-z_]+_)\{", source), "phase_", "signal_"]
    built += re.findall(r"w\[\"([a-z_]+_)\" ~", source)
    for name in ENGLISH:
        # What is seen in the picture has its own words beside those of the force.
        bare = name.removesuffix("_picture")
        spelled = re.search(rf"[\"'.]({name}|{bare})\b", source)
        assert spelled or any(name.startswith(stem) for stem in built), name
    # The script fills its own, which lie in one attribute.
    shown = re.sub(r"<(style|script)>.*?</\1>| data-words=\"[^\"]*\"", "", page, flags=re.S)
    assert not re.search(r"\{[a-z_]+\}", shown)


texts = st.sampled_from(HOSTILE) | st.text(max_size=60)


@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_no_text_breaks_the_page(data: st.DataObject, review_path: Path, tmp_path: Path) -> None:
    notes = tuple(
        Note(
            str(i),
            data.draw(st.floats(-1e9, 1e300)),
            data.draw(texts),
            phase=data.draw(st.sampled_from(["", *PHASES]) | texts),
            body_part=data.draw(st.sampled_from(["", *BODY_PARTS]) | texts),
        )
        for i in range(data.draw(st.integers(0, 3)))
    )
    state = ReviewState(title=data.draw(texts), athlete=data.draw(texts), notes=notes)
    page = page_of(state, review_path, tmp_path / "feedback")
    strict(page)
    links = Links(page)
    assert not {"iframe", "object", "b"} & {t for t, _ in links.tags}
    assert [t for t, _ in links.tags].count("script") == 1
    assert not [a for _, a in links.tags if any(n.startswith("on") for n in a)]
    assert all(not urlsplit(a).scheme and not urlsplit(a).netloc for a in links.addresses)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_words_are_shown_as_they_are(text: str, review_path: Path, out: Path) -> None:
    state = ReviewState(title=text, athlete=text, notes=(Note("a", 1.0, text),))
    page = page_of(state, review_path, out)
    document = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    (words,) = [p for p in document.iter("p") if (p.get("class") or "").split(" ")[0] == "words"]
    shown = clean(text)
    assert "".join(words.itertext()) == (shown or ENGLISH["note_plain"])
    title = document.find(".//h1")
    assert title is not None
    assert "".join(title.itertext()) == (" ".join(shown.split()) or ENGLISH["default_title"])
