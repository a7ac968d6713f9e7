"""What was made before is taken again, byte for byte, and only where nothing of it changed."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.bundle.comparing.comparison_look import pair_width
from app.bundle.comparing.comparison_paint import WIDTHS_PX
from app.bundle.options import WriteOptions
from app.bundle.pack import files_in
from app.bundle.pictures.clip_store import ClipStore
from app.bundle.pictures.quality import QUALITY
from app.bundle.walkthrough.walkthrough_picture import lay_out
from app.bundle.write import write_bundle
from app.media.decoder import FrameReader
from app.media.encode import ClipWriter
from app.media.video import VideoFile
from app.review.parts.blur import BlurKey, BlurRegion
from app.review.parts.comparisons import new_comparison
from app.review.parts.curve_marks import new_curve_mark
from app.review.parts.findings import Decision
from app.review.parts.marks import new_mark
from app.review.parts.picture import PictureTurn
from app.review.parts.self_test import new_self_test
from app.review.parts.sending import QUALITIES, SendingPlan
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import CurveShown, Moved
from app.review.parts.walkthroughs import new_walkthrough
from app.review.values.stroke_ref import StrokeRef

NOW = StrokeRef("", 3.1, 3.9, 5.1, "now")
THEN = StrokeRef("", 1.1, 1.9, 3.1, "then")
FACE = BlurRegion("f", (BlurKey(0.0, 50.0, 50.0, 60.0, 60.0, True),))


@pytest.fixture(scope="module")
def everything(review: ReviewState) -> ReviewState:
    """A review with a note on a finding, a comparison, a self-test and a walkthrough."""
    note = replace(review.notes[0], id="found", video_s=3.5, stroke=None, end_s=None)
    walk = new_walkthrough([Moved(0.0, 1.0), CurveShown(0.1, True)], 0.4, title="Look")
    return replace(
        review,
        notes=(note,),
        decisions=(Decision("code", True, "found"),),
        comparisons=(new_comparison(NOW, THEN),),
        self_test=new_self_test([(NOW, True, ""), (THEN, False, "")], 1),
        walkthroughs=(walk,),
    )


Digests = dict[str, str]
Write = Callable[[str, ReviewState], Digests]


def written(state: ReviewState, path: Path, out: Path, kept: Path | None) -> Digests:
    out = write_bundle(state, path, out, options=WriteOptions(clips=kept)).path
    return {f: hashlib.sha256((out / f).read_bytes()).hexdigest() for f in files_in(out)}


@pytest.fixture(scope="module")
def first(
    everything: ReviewState, review_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Digests, Path]:
    """The first writing, and the folder of what was kept."""
    folder = tmp_path_factory.mktemp("first")
    return written(everything, review_path, folder / "out", folder / "kept"), folder / "kept"


@pytest.fixture
def write(first: tuple[Digests, Path], review_path: Path, tmp_path: Path) -> Write:
    """Write a bundle with what the first writing kept; give the digests of its files."""
    shutil.copytree(first[1], tmp_path / "kept")
    return lambda name, state: written(state, review_path, tmp_path / name, tmp_path / "kept")


@pytest.fixture
def work(monkeypatch: pytest.MonkeyPatch) -> dict[str, int]:
    """Count clips that are encoded, and frames that are asked for beyond a film's first."""
    done = {"clips": 0, "frames": 0}
    enter, frame = ClipWriter.__enter__, FrameReader.frame

    def encoding(self: ClipWriter) -> ClipWriter:
        done["clips"] += 1
        return enter(self)

    def asked(self: FrameReader, i: int, *rest: Any) -> Any:
        done["frames"] += i > 0
        return frame(self, i, *rest)

    monkeypatch.setattr(ClipWriter, "__enter__", encoding)
    monkeypatch.setattr(FrameReader, "frame", asked)
    return done


def test_a_second_writing_decodes_and_encodes_nothing_and_gives_the_same_bytes(
    everything: ReviewState, first: tuple[Digests, Path], write: Write, work: dict[str, int]
) -> None:
    assert set(PICTURES) <= set(first[0])
    assert write("b", everything) == first[0]
    assert work["clips"] == 0
    assert work["frames"] <= 2, "the posters of the self-test"


def test_what_is_kept_is_what_would_be_made(
    everything: ReviewState, first: tuple[Digests, Path], review_path: Path, tmp_path: Path
) -> None:
    assert written(everything, review_path, tmp_path / "c", None) == first[0]


PICTURES = ("clips/note-01.mp4", "stills/note-01.jpg", "strips/note-01.svg",
            "clips/comparison-01.mp4", "stills/comparison-01-catch.jpg", "clips/self-test-1.mp4",
            "clips/walkthrough-1.mp4")  # fmt: skip


@pytest.mark.parametrize(
    ("change", "touched"),
    [
        ({"blurs": (FACE,)}, set(PICTURES)),
        ({"turn": PictureTurn(0, True, 0.0)}, set(PICTURES) - {"clips/walkthrough-1.mp4"}),
        (
            {"marks": (new_mark("line", [(10, 10), (200, 100)], 0.0, end_s=9.0),)},
            # Not the self-test, where it would tell the answer, nor a walkthrough without it.
            set(PICTURES) - {"clips/self-test-1.mp4", "clips/walkthrough-1.mp4"},
        ),
        (
            {"curve_marks": (new_curve_mark("span", "time", [(20, 0), (40, 0)], text="here"),)},
            {"strips/note-01.svg", "clips/walkthrough-1.mp4"},
        ),
    ],
    ids=["a hidden face", "the turn", "a mark", "a mark on the curve"],
)
def test_a_change_makes_anew_what_shows_it(
    everything: ReviewState,
    first: tuple[Digests, Path],
    write: Write,
    change: dict[str, Any],
    touched: set[str],
) -> None:
    after = write("b", replace(everything, **change))
    assert {name for name in PICTURES if first[0][name] != after[name]} == touched


def test_a_spoilt_part_is_made_anew(
    everything: ReviewState, first: tuple[Digests, Path], write: Write, tmp_path: Path
) -> None:
    for count, path in enumerate(sorted((tmp_path / "kept").iterdir())):
        if count % 2:
            path.write_bytes(path.read_bytes()[:-1])
        else:
            path.unlink()
    assert write("b", everything) == first[0]


def test_facts_come_back_or_not_at_all(tmp_path: Path) -> None:
    store = ClipStore(tmp_path)
    store.keep_facts("a" * 32, {"size": (2, 3)})
    assert store.facts("a" * 32) == {"size": [2, 3]}
    assert store.facts("b" * 32) is None
    (tmp_path / f"{'c' * 32}-0.json").write_text("{}")
    assert store.facts("c" * 32) is None
    ClipStore(None).keep_facts("a", {})
    assert ClipStore(None).facts("a") is None


def test_quality_holds_for_comparisons(
    everything: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    sizes = {}
    only = replace(everything, notes=(), self_test=None, walkthroughs=())
    for name in QUALITIES:
        state = replace(only, sending=SendingPlan(quality=name))
        written(state, review_path, tmp_path / name, None)
        sizes[name] = (tmp_path / name / "clips/comparison-01.mp4").stat().st_size
        with VideoFile.open(tmp_path / name / "clips/comparison-01.mp4") as pair:
            assert pair.width == pair_width(state.comparisons[0], QUALITY[name])
    assert sizes["mail"] < sizes["standard"] < sizes["full"]
    assert pair_width(everything.comparisons[0], QUALITY["standard"]) == WIDTHS_PX["beside"]


@pytest.mark.parametrize(("quality", "height"), [("mail", 480), ("standard", 720), ("full", 1080)])
def test_quality_decides_the_height_of_a_walkthrough(quality: str, height: int) -> None:
    most = QUALITY[quality].height_px
    layout = lay_out((1920, 1080), PictureTurn(), True, most)
    assert (layout.film_height, layout.width) == (height, height * 1920 // 1080 // 2 * 2)
    assert layout.panel_height == height // 4 // 2 * 2
    assert lay_out((640, 360), PictureTurn(), True, most).film_height == 360, "never enlarged"
    turned = lay_out((1920, 1080), PictureTurn(1), False, most)
    assert turned.film_height == min(1920, most)
