"""How much of a damaged review comes back: `python -m tests.benchmarks.review_salvage [MUTATIONS]`.

Prints, per kind of damage, the share of files from which all notes, most notes and all texts of
notes came back, and the worst time.
"""

from __future__ import annotations

import random
import sqlite3
import statistics
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path

from app.review.file import schema
from app.review.file.salvage import Salvaged, salvage_rows
from tests.helpers.damaged_reviews import DAMAGES, genuine_review

MUTATIONS = 500


def definitions() -> dict[str, str]:
    """Return the texts of all tables by their names."""
    return schema.statements(schema.SCHEMA_VERSION)


def columns_of(path: Path) -> dict[str, tuple[str, ...]]:
    """Return every table's columns, as a whole file has them."""
    connection = sqlite3.connect(path)
    columns = {
        name: tuple(row[1] for row in connection.execute(f"PRAGMA table_info({name})"))
        for name in definitions()
    }
    connection.close()
    return columns


def texts(salvaged: Salvaged) -> dict[object, object]:
    """Return the notes' texts by their ids."""
    return {row["id"]: row["text"] for row in salvaged.rows["note"]}


class Tally:
    """The figures of one kind of damage."""

    def __init__(self) -> None:
        self.counts: dict[str, int] = defaultdict(int)
        self.seconds: list[float] = []
        self.scores: list[float] = []

    def add(self, salvaged: Salvaged, whole: Salvaged, seconds: float) -> None:
        """Compare what came back with what was there."""
        wanted, got = texts(whole), texts(salvaged)
        back = len(wanted.keys() & got.keys()) / len(wanted)
        same = sum(got.get(id_) == text for id_, text in wanted.items()) / len(wanted)
        scores = [list(s.rows["walkthrough_score"]) for s in (salvaged, whole)]
        self.seconds.append(seconds)
        self.scores.append(sum(row in scores[0] for row in scores[1]) / len(scores[1]))
        self.counts["all"] += back == 1.0
        self.counts["most"] += back >= 0.9
        self.counts["same"] += same == 1.0
        self.counts["sounds"] += list(salvaged.rows["asset"]) == list(whole.rows["asset"])
        self.counts["false"] += bool(got.keys() - wanted.keys())
        silent = back < 1.0 and not any("notes" in loss for loss in salvaged.losses)
        self.counts["silent"] += silent

    def line(self, kind: str) -> str:
        """Write the figures as a line."""
        n = len(self.seconds)
        share = {key: 100 * self.counts[key] / n for key in _COLUMNS}
        return (
            f"{kind:18s}{n:5d}"
            + "".join(f"{share[key]:8.1f}" for key in _COLUMNS)
            + f"{100 * statistics.mean(self.scores):8.1f}{max(self.seconds) * 1e3:9.0f}"
        )


_COLUMNS = ("all", "most", "same", "sounds", "false", "silent")


def main() -> None:
    """Print the figures."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else MUTATIONS
    with tempfile.TemporaryDirectory() as name:
        path = Path(name, "whole.review")
        genuine_review(path, notes=120, sound_s=30.0)
        tables = columns_of(path)
        whole = salvage_rows(path, tables, definitions=definitions())
        data = path.read_bytes()
        print(f"{len(data) / 1e6:.1f} MB, {len(whole.rows['note'])} notes; losses {whole.losses}")
        print(
            f"{'%':18s}{'files':>5s}" + "".join(f"{c:>8s}" for c in _COLUMNS), " scores  worst ms"
        )
        total = Tally()
        for kind, damage in DAMAGES.items():
            tally = Tally()
            for seed in range(-(-count // len(DAMAGES))):
                broken = Path(name, "broken.review")
                broken.write_bytes(damage(data, random.Random(f"{kind}{seed}")))
                took, salvaged = _timed(broken, tables)
                tally.add(salvaged, whole, took)
                total.add(salvaged, whole, took)
            print(tally.line(kind))
        print(total.line("all"))


def _timed(path: Path, tables: Mapping[str, tuple[str, ...]]) -> tuple[float, Salvaged]:
    start = time.perf_counter()
    result = salvage_rows(path, tables, definitions=definitions())
    return time.perf_counter() - start, result


if __name__ == "__main__":
    main()
