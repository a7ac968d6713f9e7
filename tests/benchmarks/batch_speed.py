"""A batch of submissions: against single runs, killed and resumed, with a cluster's worker lost.

`python -m tests.benchmarks.batch_speed [SUBMISSIONS] [FILMS]`: so many force recordings, some of
them with a film. CPU seconds of this process and those it waited for; the wall is told beside, for
who has the machine alone.
"""

from __future__ import annotations

import json
import logging
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from app.drafts.batch import RECORD, run_batch
from app.drafts.cluster import on_cluster
from app.drafts.evidence import keeps_step, recorded_when
from app.drafts.job import DraftJob, DraftRow
from app.drafts.pairing import proposals
from app.drafts.prepare import prepare
from app.drafts.workers import on_this_machine
from samples.force_recording import RecorderOptions, record, write_text
from samples.piece import PieceOptions, simulate_piece
from samples.submission import SampleOptions, make_submission


def write_inbox(folder: Path, count: int, films: int) -> None:
    """Write submissions under names that say what belongs together, and one that cannot be read."""
    options = RecorderOptions()
    for number in range(count - films - 1):
        piece = simulate_piece(PieceOptions(seed=number, duration_s=40.0, rate_spm=20 + number % 9))
        text = write_text(record(piece, options, number), options)
        (folder / f"rower {number:03d}.csv").write_text(text, "utf-8")
    (folder / "broken.csv").write_text("a,b\n1,2\n")
    for number in range(films):
        sample = SampleOptions(seed=number, duration_s=20.0, fps=15, width=320, height=180)
        with tempfile.TemporaryDirectory() as name:
            made = make_submission(Path(name), sample)
            shutil.copy(made.footage, folder / f"filmed {number:03d}.mp4")
            shutil.copy(made.force, folder / f"filmed {number:03d}.csv")


def used(job: Callable[[], object]) -> tuple[float, float]:
    """CPU seconds with those of children, and the wall."""

    def cpu() -> float:
        both = [resource.getrusage(w) for w in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
        return sum(one.ru_utime + one.ru_stime for one in both)

    began_s, began_cpu_s = time.perf_counter(), cpu()
    job()
    return cpu() - began_cpu_s, time.perf_counter() - began_s


def on_cores(folder: Path, out: Path, processes: int) -> tuple[DraftRow, ...]:
    found = proposals(folder, keeps_step, recorded_when)
    return run_batch(
        found, out, lambda jobs: on_this_machine(jobs, prepare, processes), lambda done, count: None
    )


def said(name: str, took: tuple[float, float], rows: Sequence[DraftRow]) -> None:
    ready = sum(row.status == "ready" for row in rows)
    print(f"{name:36} {took[0]:7.1f} CPU s {took[1]:7.1f} s wall  {ready} of {len(rows)} ready")


def killed(folder: Path, out: Path) -> None:
    """Kill the whole batch when a third is done, and call it again."""
    words = ["batch", str(folder), "-o", str(out), "--processes", "2"]
    code = f"from app.commands import main; main({words!r})"
    process = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.DEVNULL)
    wanted = len(list(folder.glob("*.csv"))) // 3
    while process.poll() is None and rows_in(out) < wanted:
        time.sleep(0.02)
    process.kill()
    process.wait()
    before = rows_in(out)
    done = subprocess.run(
        [sys.executable, "-c", code.replace("'2']", "'2', '--json']")],
        capture_output=True, check=True, text=True,
    )  # fmt: skip
    told = json.loads(done.stdout)
    kept = sum(row["seconds"] == 0.0 for row in told["submissions"])
    print(
        f"killed after {before} rows; called again: {kept} were there, {told['ready']} ready, "
        f"{told['failed']} failed, {len(list(out.glob('*.review')))} reviews"
    )


def rows_in(out: Path) -> int:
    try:
        return len(json.loads((out / RECORD).read_text("utf-8"))["rows"])
    except (OSError, ValueError):
        return 0


def on_a_cluster(folder: Path, out: Path) -> tuple[DraftRow, ...]:
    """Kill one worker after the third submission is done."""
    from distributed import LocalCluster

    told: list[DraftRow] = []
    with LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=":0", silence_logs=logging.CRITICAL
    ) as cluster:

        def kill_one(done: object, count: int) -> None:
            told.append(done.row)  # type: ignore[attr-defined]
            if len(told) == 3:
                os.kill(cluster.workers[0].pid, signal.SIGKILL)

        found = proposals(folder, keeps_step, recorded_when)

        def source(jobs: Sequence[DraftJob]):  # type: ignore[no-untyped-def]
            return on_cluster(jobs, prepare, cluster.scheduler_address)

        return run_batch(found, out, source, kill_one)


def main() -> None:
    """Print what each way takes."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    films = int(sys.argv[2]) if len(sys.argv) > 2 else 4
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "in"
        folder.mkdir()
        write_inbox(folder, count, films)
        single = Path(name) / "single"
        single.mkdir()
        jobs = [
            DraftJob(tuple(map(str, p.films)), str(p.force), str(single / f"{n}.review"))
            for n, p in enumerate(proposals(folder, keeps_step, recorded_when))
        ]
        rows: list[DraftRow] = []
        said("one after the other, here", used(lambda: rows.extend(
            prepare(job).row for job in jobs)), rows)  # fmt: skip
        for processes in (1, 2):
            out = Path(name) / f"on{processes}"
            made: list[DraftRow] = []
            took = used(lambda o=out, p=processes, m=made: m.extend(on_cores(folder, o, p)))
            said(f"batch on {processes}", took, made)
            again: list[DraftRow] = []
            took = used(lambda o=out, p=processes, m=again: m.extend(on_cores(folder, o, p)))
            said("  called again", took, again)
        killed(folder, Path(name) / "killed")
        lost: list[DraftRow] = []
        took = used(lambda: lost.extend(on_a_cluster(folder, Path(name) / "cluster")))
        said("cluster, one worker killed", took, lost)


if __name__ == "__main__":
    main()
