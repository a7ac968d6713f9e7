"""The line-up on footage and points this project did not make (see tests/helpers/people).

python -m tests.benchmarks.align_people FOLDER
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from analysis.clocks.matching import line_up
from analysis.clocks.motion import measure_motion
from analysis.force.strokes import find_strokes
from app.media.motion_frames import optical_flow
from tests.helpers.people import people


def main() -> None:
    folder = Path(sys.argv[1])
    for position in (True, False):
        for seed in range(3):
            offset_s = float(np.random.default_rng(seed).uniform(-0.5, 3.0))
            made = people(folder, offset_s, 100.0, seed, position)
            motion = measure_motion(made.frames, optical_flow())
            found = line_up(motion, None, made.trace, find_strokes(made.trace))
            a = found.alignment
            print(
                f"{'position' if position else 'force alone':12s} true {offset_s:7.3f} s found "
                f"{a.offset_s:7.3f} ± {a.uncertainty_s or 0.0:.3f} s, error "
                f"{(a.offset_s - offset_s) * 1e3:6.1f} ms, {found.strokes} raises, "
                f"x{found.slow_motion:g}, ambiguous {a.ambiguous}, "
                f"likelihood {found.candidates[0].likelihood:.3f}"
            )


if __name__ == "__main__":
    main()
