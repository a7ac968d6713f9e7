"""Comparisons and the self-test in a bundle, on films whose pixels hold the frame's number."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from pathlib import Path

import html5lib
import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from analysis.comparing.phase import phase_of
from analysis.comparing.picture_fit import PictureFit
from app.bundle.comparing.comparison_curves import WIDTHS_PX, curve_strip
from app.bundle.comparing.comparison_film import PairFilm, labels_of, write_pair_clip
from app.bundle.comparing.comparison_paint import clip_size, paint_pair
from app.bundle.options import WriteOptions
from app.bundle.wording.words import ENGLISH
from app.bundle.wording.words_comparison import COMPARISON_ENGLISH, COMPARISON_GERMAN
from app.bundle.write import BundleResult, write_bundle
from app.media.encode import ClipWriter
from app.media.errors import MediaError
from app.media.video import VideoFile
from app.review.parts.blur import new_region
from app.review.parts.comparisons import Comparison, new_comparison
from app.review.parts.notes import new_note
from app.review.parts.picture import PictureTurn
from app.review.parts.self_test import new_self_test
from app.review.parts.sending import SELF_TEST
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import COMPARISON, Moved, Score, Shown
from app.review.parts.walkthroughs import new_walkthrough
from app.review.recordings import refer
from app.review.values.stroke_ref import StrokeRef
from app.submission.resolving import resolve
from tests.helpers.clips import number_in, numbered
from tests.helpers.reviews import write_review

LEFT = StrokeRef("", 3.1, 3.9, 5.1, "now")  # the second drive of the force, on the film
RIGHT = StrokeRef("other.review", 1.0, 1.6, 3.0, "last month <b>")
OTHER_FPS = 30


@pytest.fixture(scope="module")
def other(desk: Path) -> Path:
    """Make another review beside the first: a film at another rate, with force of its own."""
    with ClipWriter(desk / "other.mp4", 320, 180) as film:
        for i in range(4 * OTHER_FPS):
            film.add(numbered(i), i / OTHER_FPS)
        film.finish(4.0)
    time_s = np.arange(0.0, 4.0, 0.01)
    force = 450.0 * np.sin(np.pi * np.clip((time_s - 1.0) / 0.6, 0.0, 1.0))
    rows = "".join(f"{t:.2f},{max(f, 0):.2f}\n" for t, f in zip(time_s, force, strict=True))
    (desk / "other.csv").write_text("time_s,force_N\n" + rows)
    path = desk / "other.review"
    if not path.exists():
        state = ReviewState(
            video=refer(desk / "other.mp4", "video", path),
            trace=refer(desk / "other.csv", "trace", path),
            alignment=Alignment(0.0, 0.0, 0.0, "by hand"),
        )
        write_review(path, state)
    return path


@pytest.fixture(scope="module")
def compared(review: ReviewState, other: Path) -> ReviewState:
    test = new_self_test([(LEFT, False, "Rounded <i>back</i>."), (RIGHT, True, "")], 4)
    comparison = new_comparison(LEFT, RIGHT, title="Then & now", text="Look at the <hands>.")
    lost = new_comparison(LEFT, replace(RIGHT, source="gone.review"))
    return replace(review, notes=(), comparisons=(comparison, lost), self_test=test)


@pytest.fixture(scope="module")
def built(
    compared: ReviewState,
    review_path: Path,
    made_once: WriteOptions,
    tmp_path_factory: pytest.TempPathFactory,
) -> BundleResult:
    out = tmp_path_factory.mktemp("out") / "bundle"
    return write_bundle(compared, review_path, out, options=made_once)


def sides(comparison: Comparison, state: ReviewState, path: Path) -> tuple:
    return tuple(resolve(s, state, path, None) for s in (comparison.left, comparison.right))


def test_every_pair_of_frames_is_the_one_that_belongs_together(
    compared: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    comparison = compared.comparisons[0]
    left, right = sides(comparison, compared, review_path)
    out = tmp_path / "pair.mp4"
    with PairFilm(comparison, left, right) as film:
        clip = film.clip()
        write_pair_clip(film, out, ("", ""), None)
    l_times, r_times = comparison.left.times, comparison.right.times
    with VideoFile.open(out) as shown:
        assert len(shown.index) == len(clip.pairs)
        wide = shown.width
        for i, pair in enumerate(clip.pairs):
            image = shown.frame_rgb(i)
            assert (number_in(image[:, : wide // 2 - 2]), number_in(image[:, wide // 2 + 2 :])) == (
                pair.left,
                pair.right,
            )
            assert shown.index.time_s[i] == pytest.approx(pair.out_s, abs=1e-4)
            # Phase apart, in the frames of either side: never more than half of one.
            apart = phase_of(r_times, pair.right / OTHER_FPS) - phase_of(l_times, pair.left / 20)
            frame = 1 / 20 / (0.8 if pair.left_s < 3.9 else 1.2)
            assert abs(apart) <= 0.5 * frame + 1e-6


@pytest.mark.parametrize("layout", ["beside", "above", "over"])
def test_a_painted_pair_has_the_size_it_says(layout: str) -> None:
    comparison = new_comparison(LEFT, RIGHT, layout=layout)
    left, right = numbered(3), numbered(9, 640, 360)
    for turn in (PictureTurn(), PictureTurn(1, True)):
        image = paint_pair(left, right, comparison, turn=turn, labels=("one", "two"))
        assert image.shape[1::-1] == clip_size(comparison, (320, 180), turn)
        assert image.shape[1] == WIDTHS_PX[comparison.layout]


def test_the_right_picture_is_mirrored_scaled_and_shifted_as_fitted() -> None:
    rng = np.random.default_rng(0)
    left = np.zeros((180, 320, 3), np.uint8)
    for x, y in ((80, 100), (200, 130)):
        left[y - 6 : y + 6, x - 6 : x + 6] = 255
    # The same things seen by a camera on the other side, twice as near, moved.
    fit = PictureFit(True, 0.5, 20.0, -10.0)
    right = rng.integers(0, 3, (400, 640, 3)).astype(np.uint8)
    for x, y in ((80, 100), (200, 130)):
        there_x, there_y = 640 - (x - 20) / 0.5, (y + 10) / 0.5
        right[int(there_y) - 12 : int(there_y) + 12, int(there_x) - 12 : int(there_x) + 12] = 255
    comparison = new_comparison(LEFT, RIGHT, layout="over", fit=fit, opacity=0.5)
    image = paint_pair(left, right, comparison, width=320).astype(float)
    both = np.abs(image - left).max(axis=2)
    # Squares of either picture cover each other: outside their soft edges nothing is half grey.
    assert (both > 60).mean() < 0.001
    assert (image[94:106, 74:86] > 200).mean() > 0.7
    faint = paint_pair(left, right, replace(comparison, opacity=0.0), width=320)
    assert np.abs(faint.astype(int) - left).max() <= 2


def test_the_cursor_runs_with_the_drive_and_rests_in_the_recovery(
    compared: ReviewState, review_path: Path
) -> None:
    comparison = compared.comparisons[0]
    left, right = sides(comparison, compared, review_path)
    strip = curve_strip(comparison, left, right, ENGLISH, None, labels_of(comparison, ENGLISH))
    assert strip is not None
    picture = numbered(1)
    size = clip_size(comparison, (320, 180), PictureTurn(), None, strip)

    def beneath(left_s: float) -> np.ndarray:
        image = paint_pair(picture, picture, comparison, strip=strip, left_s=left_s)
        assert image.shape[1::-1] == size
        moved = np.abs(image[-strip.base.shape[0] :].astype(int) - strip.base).max(axis=(0, 2))
        return np.flatnonzero(moved > 40)

    middles = [beneath(s).mean() for s in (3.1, 3.5, 3.9)]
    assert middles[1] == pytest.approx(strip.plot.x.at(50.0), abs=2)
    assert middles[0] < middles[1] < middles[2]
    assert len(beneath(4.5)) == 0


def test_the_bundle_holds_what_it_names(built: BundleResult) -> None:
    names = set(built.files)
    for name in (
        "clips/comparison-01.mp4",
        "stills/comparison-01-catch.jpg",
        "stills/comparison-01-finish.jpg",
        "curves/comparison-01-percent.svg",
        "comparison-01.csv",
        "clips/self-test-1.mp4",
        "clips/self-test-2.mp4",
    ):
        assert name in names
    record = json.loads((built.path / "review.json").read_text("utf-8"))
    first, lost = record["comparisons"]
    assert first["clip"] in names and first["table"] in names and lost["clip"] is None
    assert any("comparison 2" in said for said in built.remarks)
    assert "gone" not in " ".join(built.remarks), "no names of the coach's machine"
    assert "other.review" not in json.dumps(record)
    with (built.path / "comparison-01.csv").open(newline="") as file:
        rows = {row["measure"]: row for row in csv.DictReader(file)}
    assert float(rows["peak_n"]["right"]) == pytest.approx(450.0, rel=0.01)
    assert float(rows["peak_n"]["difference"]) == pytest.approx(-150.0, abs=6)
    # Four strokes on the left and one on the right: nobody can tell.
    assert rows["peak_n"]["verdict"] == "too_few"


def test_the_page_shows_them_and_words_stay_words(built: BundleResult) -> None:
    page = (built.path / "index.html").read_text("utf-8")
    html5lib.HTMLParser(strict=True).parse(page)
    assert "Then &amp; now" in page and "Look at the &lt;hands&gt;." in page
    assert "<b>" not in page and "<i>" not in page
    assert ENGLISH["compare_too_few"] in page
    section = page[page.index('<section id="compare"') : page.index('<section id="self-test"')]
    assert "<script" not in section and "comparison-01.mp4" in section


def test_the_answers_are_held_back_until_asked_for(
    built: BundleResult, compared: ReviewState
) -> None:
    page = (built.path / "index.html").read_text("utf-8")
    section = page[page.index('<section id="self-test"') :]
    section = section[: section.index("</section>")]
    assert compared.self_test is not None
    asked = re.findall(r'data-self-test-id="([0-9a-f]+)"', section)
    assert asked == [item.id for item in compared.self_test.items]
    for item in compared.self_test.items:
        assert section.count(f'name="self-test-{item.id}"') == 2
    outside = re.sub(r"<details.*?</details>", "", section, flags=re.S)
    assert "Rounded" not in outside and "last month" not in outside and "(now)" not in outside
    assert section.count('class="hit"') == 2
    record = json.loads((built.path / "review.json").read_text("utf-8"))
    assert [i["right"] for i in record["self_test"]] == [i.right for i in compared.self_test.items]


def test_a_note_leads_to_the_comparison_that_shows_its_moment(
    compared: ReviewState, review_path: Path, tmp_path: Path, made_once: WriteOptions
) -> None:
    notes = (new_note(0.4, "Outside"), new_note(3.3, "Within"))
    state = replace(compared, notes=notes, comparisons=compared.comparisons[:1], self_test=None)
    made = write_bundle(state, review_path, tmp_path / "linked", options=made_once)
    tree = html5lib.parse(
        (made.path / "index.html").read_text("utf-8"), namespaceHTMLElements=False
    )
    said = {}
    for item in tree.iter("li"):
        if str(item.get("id", "")).startswith("note-"):
            links = [a for a in item.iter("a") if "#comparison" in str(a.get("href"))]
            text = "".join(item.itertext())
            said["Within" in text] = [(a.get("href"), "".join(a.itertext())) for a in links]
    assert said == {False: [], True: [("#comparison-1", "See it side by side: Then & now")]}
    assert tree.find(".//article[@id='comparison-1']") is not None
    plan = replace(state.sending, left_out=(state.comparisons[0].id,))
    made = write_bundle(
        replace(state, sending=plan), review_path, tmp_path / "out", options=made_once
    )
    assert 'class="see-both"' not in (made.path / "index.html").read_text("utf-8")


def test_what_is_left_out_is_in_no_file(
    compared: ReviewState, review_path: Path, tmp_path: Path, made_once: WriteOptions
) -> None:
    walk = new_walkthrough([Moved(0.0, 1.0), Moved(0.2, 1.2)], 0.4, title="Look here")
    state = replace(compared, walkthroughs=(walk,))
    first, lost = compared.comparisons
    plan = replace(state.sending, left_out=(first.id, walk.id, SELF_TEST))
    made = write_bundle(
        replace(state, sending=plan), review_path, tmp_path / "some", options=made_once
    )
    record = json.loads((made.path / "review.json").read_text("utf-8"))
    assert [c["id"] for c in record["comparisons"]] == [lost.id]
    assert (record["walkthroughs"], record["self_test"]) == ([], [])
    assert not [name for name in made.files if name.endswith(".mp4")]
    page = (made.path / "index.html").read_text("utf-8")
    for words in ("Then &amp; now", "Look here", 'id="self-test"', 'id="walkthrough"'):
        assert words not in page, words
    # A walkthrough that shows what is left out keeps showing it; the coach is told before.
    shows = replace(walk, score=Score((*walk.score.events, Shown(0.2, COMPARISON, first.id))))
    plan = replace(state.sending, left_out=(first.id, lost.id, SELF_TEST))
    state = replace(state, sending=plan, walkthroughs=(shows,))
    made = write_bundle(state, review_path, tmp_path / "walk", options=made_once)
    assert made.remarks == () or not any("side by side" in said for said in made.remarks)
    assert "clips/walkthrough-1.mp4" in made.files


def test_the_single_page_holds_them_too(
    compared: ReviewState, review_path: Path, tmp_path: Path, made_once: WriteOptions
) -> None:
    small = replace(compared, notes=(), comparisons=compared.comparisons[:1])
    made = write_bundle(small, review_path, tmp_path / "one", single_file=True, options=made_once)
    page = made.path.read_text("utf-8")
    assert page.count("data:video/mp4") == 3
    assert "clips/comparison-01.mp4" not in re.sub(r">[^<]*<", "><", page)


def test_a_face_hidden_in_either_review_is_hidden_in_the_pair(
    compared: ReviewState, review_path: Path
) -> None:
    comparison = compared.comparisons[0]
    left, right = sides(comparison, compared, review_path)
    with PairFilm(comparison, left, right) as film:
        plain = film.rgb((70, 40))
    # An ellipse over the whole picture, on the other review's film alone.
    region = new_region(1.0, 160.0, 90.0, 500.0, 300.0)
    blurred = replace(right.state, blurs=(region,))
    hidden = replace(right, submission=replace(right.submission, state=blurred))
    with PairFilm(comparison, left, hidden) as film:
        shown = film.rgb((70, 40))
    assert np.array_equal(plain[0], shown[0])
    assert number_in(plain[1]) == 40
    assert shown[1].std() < 0.7 * plain[1].std()


def test_a_stroke_without_footage_is_no_crash(compared: ReviewState, review_path: Path) -> None:
    comparison = compared.comparisons[0]
    left, right = sides(comparison, compared, review_path)
    with pytest.raises(MediaError, match="no footage"):
        PairFilm(comparison, left, replace(right, submission=replace(right.submission, films=())))


def test_every_language_says_the_same_with_the_same_gaps() -> None:
    gaps = re.compile(r"\{[a-z]+\}")
    assert list(COMPARISON_GERMAN) == list(COMPARISON_ENGLISH)
    for name, words in COMPARISON_ENGLISH.items():
        assert sorted(gaps.findall(words)) == sorted(gaps.findall(COMPARISON_GERMAN[name])), name
