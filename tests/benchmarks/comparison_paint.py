"""How long a pair of 1080p frames takes to put together, against decoding them.

python -m tests.benchmarks.comparison_paint
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from app.bundle.comparing.comparison_curves import WIDTHS_PX
from app.bundle.comparing.comparison_film import PairFilm
from app.bundle.comparing.comparison_paint import paint_pair
from app.media.encode import ClipWriter
from app.review.parts.comparisons import LAYOUTS, new_comparison
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.review.values.stroke_ref import StrokeRef
from app.submission.resolving import resolve
from tests.helpers.clips import numbered


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with ClipWriter(folder / "film.mp4", 1920, 1080) as clip:
            for i in range(60):
                clip.add(numbered(i, 1920, 1080), i / 30.0)
            clip.finish(2.0)
        path = folder / "a.review"
        state = ReviewState(video=refer(folder / "film.mp4", "video", path))
        one, two = StrokeRef("", 0.1, 0.6, 1.4), StrokeRef("", 0.3, 0.7, 1.6)
        for layout in LAYOUTS:
            comparison = new_comparison(one, two, layout=layout)
            sides = [resolve(s, state, path, None) for s in (one, two)]
            with PairFilm(comparison, *sides) as film:
                pairs = film.clip().pairs
                spent = [0.0, 0.0]
                for pair in pairs:
                    start = time.perf_counter()
                    both = film.rgb((pair.left, pair.right))
                    middle = time.perf_counter()
                    paint_pair(*both, comparison, labels=("left", "right"))
                    spent[0] += middle - start
                    spent[1] += time.perf_counter() - middle
                each = [1e3 * s / len(pairs) for s in spent]
            print(
                f"{layout}: {WIDTHS_PX[layout]} px wide, decoding both {each[0]:.1f} ms, "
                f"putting together {each[1]:.1f} ms; {sum(each) / 33.3:.2f} of 1/30 s"
            )


if __name__ == "__main__":
    main()
