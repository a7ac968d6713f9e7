"""How often footage of another piece is claimed, and footage of the same piece refused.

    python -m tests.benchmarks.align_wrong_pairs [--pairs 300] [--first 5000] [--films FOLDER]

Pairs are drawn by rhythms of their own (tests/helpers/rhythms.py), as the signals measured of
footage; every sixth right one is slow motion. "before" is the rule by belief among the candidates
alone. With --films, encoded clips of a folder are met with two force recordings they cannot belong
to, and with the sample its own.
"""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from analysis.clocks.alignment import AlignmentError
from analysis.clocks.keeping_step import SURE
from analysis.clocks.matching import LineUp, line_up
from analysis.force.intake import read_trace
from analysis.force.strokes import find_strokes
from analysis.force.trace import ForceTrace
from app.media.errors import MediaError
from app.submission.lining_up import Signals, footage_signals
from samples.submission import small_sample
from tests.helpers.rhythms import NOT_ROWED, ROWED, Met, draw_right, draw_wrong, write_other_piece

KINDS = ROWED + NOT_ROWED
SLOW = (2.0, 4.0)


def pairs(first: int, count: int) -> Iterator[Met]:
    """As many right pairs as wrong ones."""
    for seed in range(first, first + count):
        slow = 1.0 if seed % 6 else SLOW[seed // 6 % 2]
        yield draw_right(seed, slow)
        yield draw_wrong(seed, KINDS[seed % len(KINDS)])


def said(signals: Signals, trace: ForceTrace) -> tuple[LineUp | None, str, str]:
    """What was found, what the rule before said of it, and the verdict now."""
    try:
        found = line_up(signals.motion, signals.sound, trace, find_strokes(trace))
    except AlignmentError:
        return None, "refused", "refused"
    before = "sure" if found.candidates[0].likelihood >= SURE else "laid, ambiguous"
    return found, before, found.verdict


def judged(met: Met) -> tuple[str, str]:
    found, before, now = said(Signals(met.motion, met.sound), met.trace)
    if met.kind != "right" or found is None:
        return before, now
    # In the middle of the trace, where a drift not yet known cannot move it.
    off = abs(found.alignment.offset_s - met.offset_s)
    wrong = found.slow_motion != met.slow or off > 0.5 * met.slow
    return before, "wrong stroke" if now == "lined up" and wrong else now


def group(met: Met) -> str:
    if met.kind != "right":
        return f"{met.kind}, strokes all alike" if met.rhythm == "metronome" else met.kind
    many = "1 to 4" if met.common < 5 else "5 to 7" if met.common < 8 else "8 or more"
    return f"right, {'slow, ' if met.slow > 1.0 else ''}{many} strokes"


def wilson(count: int, of: int) -> tuple[float, float]:
    """95 % interval of a share (Wilson 1927)."""
    z = 1.959964
    middle, reach = count + z * z / 2.0, z * (count * (of - count) / of + z * z / 4.0) ** 0.5
    return (middle - reach) / (of + z * z), (middle + reach) / (of + z * z)


def bounds(side: str, total: Counter[str], of: int) -> None:
    """Print each verdict of one side with its interval; what refuses beforehand is refused too."""
    total["now: not together"] += total.pop("now: refused", 0)
    for what in ("now: lined up", "now: one of several", "now: not together", "now: wrong stroke"):
        low, high = wilson(total[what], of)
        print(f"{side}, {what[5:]}: {total[what]} of {of} ({100 * low:.1f} to {100 * high:.1f} %)")


def films(folder: Path) -> None:
    """Encoded clips in which nobody rows, each with two force recordings, and the sample."""
    sample = small_sample()
    with tempfile.TemporaryDirectory() as place:
        other = read_trace(write_other_piece(Path(place) / "other.csv"))
    forces = {"sample's force": read_trace(sample.force), "another piece": other}
    clips = sorted((*folder.glob("people/*.mp4"), *folder.glob("timing/*.m*")))
    for clip in (sample.footage, *(c for c in clips if c.suffix in (".mp4", ".mkv"))):
        try:
            signals = footage_signals(clip)
        except MediaError as error:
            print(f"{clip.name}: {error}")
            continue
        for name, force in forces.items():
            _, before, now = said(signals, force)
            print(f"{clip.name[:44]:44s} {name:16s} {before:16s} -> {now}", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--pairs", type=int, default=300)
    parser.add_argument("--first", type=int, default=5000)
    parser.add_argument("--films", type=Path)
    given = parser.parse_args()
    counts: dict[str, Counter[str]] = {}
    for met in pairs(given.first, given.pairs):
        before, now = judged(met)
        counts.setdefault(group(met), Counter()).update((f"before: {before}", f"now: {now}"))
    for name in sorted(counts):
        told = ", ".join(f"{what} {n}" for what, n in sorted(counts[name].items()))
        print(f"{name:40s} {told}")
    for side, kinds in (("right", [n for n in counts if n.startswith("right")]),
                        ("wrong", [n for n in counts if not n.startswith("right")])):  # fmt: skip
        total: Counter[str] = sum((counts[n] for n in kinds), Counter())
        bounds(side, total, given.pairs)
    if given.films is not None:
        films(given.films)


if __name__ == "__main__":
    main()
