from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import matplotlib
import numpy as np
import pytest

from analysis.force.curves import PERCENT, CurveSet
from analysis.force.piece import analyse
from analysis.force.trace import ForceTrace
from app.bundle.page.sketch import HEIGHT, WIDTH, crest_path, sketch_of
from app.bundle.pictures.curves import draw_curves
from app.bundle.pictures.stills import only_picture
from app.bundle.sources.recordings import Sources
from app.bundle.wording.words import ENGLISH
from app.review.parts.curve_marks import CurveMark
from tests.helpers.submissions import submission_of


def curves(strokes: int = 3) -> CurveSet:
    shape = 600.0 * np.sin(np.pi * PERCENT / 100.0)
    force_n = np.array([shape * (1.0 + 0.02 * i) for i in range(strokes)])
    return CurveSet(
        "time", tuple(range(strokes)), force_n, force_n.mean(axis=0), force_n.std(axis=0),
        np.zeros(strokes, dtype=bool), strokes // 2, np.full(strokes, 0.9),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("own", "target", "labels"),
    [
        (curves(), True, {"legend_mean", "legend_spread", "legend_typical", "legend_target"}),
        (curves(1), False, {"legend_mean", "legend_typical"}),
        (None, True, {"legend_target"}),
    ],
)
def test_every_curve_has_its_label(
    own: CurveSet | None, target: bool, labels: set[str], tmp_path: Path
) -> None:
    target_n = np.full(101, 300.0) if target else None
    png, svg = tmp_path / "a.png", tmp_path / "a.svg"
    draw_curves(own, target_n, "time", png, svg, ENGLISH)
    assert png.read_bytes().startswith(b"\x89PNG")
    drawing = svg.read_text("utf-8")
    ET.fromstring(drawing)
    # Letters are drawn as outlines; the library names each text it drew in a comment.
    for name in ("legend_mean", "legend_spread", "legend_typical", "legend_target"):
        assert (f"<!-- {ENGLISH[name]} -->" in drawing) is (name in labels)


def test_the_users_own_plot_settings_change_nothing(tmp_path: Path) -> None:
    names = [tmp_path / n for n in ("a.png", "a.svg", "b.png", "b.svg")]
    draw_curves(curves(), None, "time", names[0], names[1], ENGLISH)
    with matplotlib.rc_context({"axes.facecolor": "red", "font.size": 30, "savefig.dpi": 20}):
        draw_curves(curves(), None, "time", names[2], names[3], ENGLISH)
    assert names[0].read_bytes() == names[2].read_bytes()
    assert names[1].read_bytes() == names[3].read_bytes()


def test_a_small_curve_spans_its_box() -> None:
    shape = 600.0 * np.sin(np.pi * PERCENT / 100.0)
    points = [tuple(map(float, p.split())) for p in crest_path(shape)[1:].split("L")]
    assert points[0] == (0.0, HEIGHT)
    assert points[-1] == (WIDTH, HEIGHT)
    assert min(y for _, y in points) == 8.0
    assert points[25] == (160.0, 8.0)


def test_words_in_a_picture_are_dropped() -> None:
    from app.media.opencv import opencv

    ok, data = opencv().imencode(".png", np.zeros((4, 6, 3), np.uint8))
    plain = data.tobytes()
    words = b"tEXtAuthor\x00Jane"
    chunk = len(words[4:]).to_bytes(4, "big") + words + b"\x00\x00\x00\x00"
    assert ok
    assert only_picture(plain[:33] + chunk + plain[33:]) == only_picture(plain)
    with pytest.raises(ValueError, match="not a PNG"):
        only_picture(b"GIF89a")


def test_a_sketch_carries_what_was_drawn_on_its_stroke() -> None:
    """A line from 25 to 75 % at the sketch's highest force lies on its upper edge, in its box."""
    time_s = np.arange(0.0, 12.0, 0.01)
    force_n = 500.0 * np.maximum(np.sin(2.0 * np.pi * time_s / 3.0), 0.0)
    piece = analyse(ForceTrace(time_s, force_n))
    stroke = piece.strokes[1]
    marks = (
        CurveMark("a", "line", "time", ((25.0, 2000.0), (75.0, 1000.0)), "red", stroke.index),
        CurveMark("b", "span", "time", ((80.0, 0.0), (60.0, 0.0)), "blue", None, "hold\nthis"),
        CurveMark("c", "span", "time", ((0.0, 0.0), (9.0, 0.0)), "blue", stroke.index + 1),
        CurveMark("d", "span", "length", ((0.0, 0.0), (9.0, 0.0)), "blue", None),
    )
    sketch = sketch_of(Sources(submission_of(piece=piece)), stroke, stroke.catch_s, marks)
    assert sketch is not None
    x, y = WIDTH / 4, HEIGHT - (HEIGHT - 8) / 2
    assert f'<path class="drawn red" d="M{x:g} 8L{WIDTH * 0.75:g} {y:g}"/>' in sketch.drawn
    stretch = "M192 0L256 0L256 120L192 120Z"
    assert f'<path class="stretch light-blue" d="{stretch}"/>' in sketch.drawn
    assert sketch.drawn.count("stretch light-blue") == 1
    words = re.search(r'<text class="drawn-words" x="224" [^>]*>([^<]*)<', sketch.drawn)
    assert words is not None and words[1] == "hold this"
