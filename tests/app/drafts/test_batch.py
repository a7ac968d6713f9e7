"""A batch goes on whatever happens to one of its submissions, its processes or itself."""

import json
import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from app.drafts.batch import LOCK, RECORD, Source, run_batch
from app.drafts.errors import BatchError
from app.drafts.job import DraftJob, DraftRow, Prepared
from app.drafts.pairing import Proposal
from app.drafts.workers import DIED, on_this_machine
from app.files import locks
from tests.helpers.draft_jobs import obey

Done = Iterator[tuple[DraftJob, Prepared]]


def here(jobs: Sequence[DraftJob]) -> Done:
    """In this process."""
    return ((job, obey(job)) for job in jobs)


def in_processes(jobs: Sequence[DraftJob]) -> Done:
    return on_this_machine(jobs, obey, 2)


def submissions(folder: Path, *orders: str) -> list[Proposal]:
    folder.mkdir(exist_ok=True)
    made = []
    for number, order in enumerate(orders):
        path = folder / f"{number}.csv"
        path.write_text(f"{number}")
        made.append(Proposal((), path, order))
    return made


def run(found: Sequence[Proposal], out: Path, source: Source) -> tuple[list[str], list[str]]:
    """Statuses in their order, and what was told in its own."""
    told: list[str] = []
    rows = run_batch(found, out, source, lambda done, count: told.append(done.row.status))
    return [row.status for row in rows], told


def test_one_that_fails_stops_none(tmp_path: Path) -> None:
    found = submissions(tmp_path / "in", "a", "fail", "b")
    statuses, told = run(found, tmp_path / "out", here)
    assert statuses == ["ready", "failed", "ready"] == told


@pytest.mark.skipif(sys.platform == "win32", reason="needs root: signals that kill")
def test_a_process_that_dies_is_replaced_and_its_work_done_again(tmp_path: Path) -> None:
    found = submissions(tmp_path / "in", "a", "die once", "die", "b", "c")
    rows = run_batch(found, tmp_path / "out", in_processes, lambda done, count: None)
    assert [row.status for row in rows] == ["ready", "ready", "failed", "ready", "ready"]
    assert rows[2].remark == DIED


def test_it_goes_on_where_it_was_stopped(tmp_path: Path) -> None:
    found = submissions(tmp_path / "in", "a", "b", "fail", "c")
    asked: list[str] = []

    def stopping(jobs: Sequence[DraftJob]) -> Done:
        for number, job in enumerate(jobs):
            if number == 2:
                raise KeyboardInterrupt
            yield job, obey(job)

    def counting(jobs: Sequence[DraftJob]) -> Done:
        asked.extend(job.athlete for job in jobs)
        return here(jobs)

    with pytest.raises(KeyboardInterrupt):
        run(found, tmp_path / "out", stopping)
    assert run(found, tmp_path / "out", counting)[0] == ["ready", "ready", "failed", "ready"]
    assert asked == ["fail", "c"]
    asked.clear()
    run(found, tmp_path / "out", counting)
    assert asked == ["fail"]  # what failed is tried again, and nothing else


def test_a_file_that_changed_is_another_submission(tmp_path: Path) -> None:
    found = submissions(tmp_path / "in", "a")
    run(found, tmp_path / "out", here)
    (tmp_path / "in" / "0.csv").write_text("another piece")
    run(found, tmp_path / "out", here)
    assert sorted(path.name for path in (tmp_path / "out").glob("*.review")) == [
        "a 0 2.review", "a 0.review",
    ]  # fmt: skip


def test_a_review_of_the_coach_is_never_written_over(tmp_path: Path) -> None:
    found = submissions(tmp_path / "in", "a")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "a 0.review").write_text("mine")
    run(found, tmp_path / "out", here)
    assert (tmp_path / "out" / "a 0.review").read_text() == "mine"
    assert (tmp_path / "out" / "a 0 2.review").exists()


def test_a_draft_that_was_taken_away_is_made_again(tmp_path: Path) -> None:
    found = submissions(tmp_path / "in", "a")
    run(found, tmp_path / "out", here)
    (tmp_path / "out" / "a 0.review").unlink()
    assert run(found, tmp_path / "out", here)[0] == ["ready"]
    assert (tmp_path / "out" / "a 0.review").exists()


@pytest.mark.parametrize(
    "damage",
    ["", "[]", '{"rows": 3, "reviews": {}}', '{"rows": {}, "reviews": {"x": "../../x"}}', "\0"],
)
def test_a_damaged_record_costs_doing_it_again(tmp_path: Path, damage: str) -> None:
    found = submissions(tmp_path / "in", "a")
    run(found, tmp_path / "out", here)
    (tmp_path / "out" / RECORD).write_text(damage)
    assert run(found, tmp_path / "out", here)[0] == ["ready"]


@pytest.mark.parametrize(
    "name", ["..", "", "x", "z.csv", ".review/", "\0.review", "x" * 400 + ".review", "1.review", 5]
)
def test_a_record_with_hostile_names_costs_doing_it_again(tmp_path: Path, name: object) -> None:
    """The last but one has two submissions of one name."""
    found = submissions(tmp_path / "in", "a", "b")
    run(found, tmp_path / "out", here)
    told = json.loads((tmp_path / "out" / RECORD).read_text())
    told["reviews"] = dict.fromkeys(told["reviews"], name)
    for row in told["rows"].values():
        row["remark"] = {"a": 1}
    (tmp_path / "out" / RECORD).write_text(json.dumps(told))
    rows = run_batch(found, tmp_path / "out", here, lambda done, count: None)
    assert [row.status for row in rows] == ["ready", "ready"]
    assert len({row.review for row in rows}) == 2
    assert all(isinstance(row.remark, str) for row in rows)


def test_a_name_is_as_long_as_a_disk_allows_in_any_script(tmp_path: Path) -> None:
    path = tmp_path / ("\u8247" * 80 + ".csv")
    path.write_text("1")
    found = [Proposal((), path, "\u6f15" * 80)]
    assert run(found, tmp_path / "out", here)[0] == ["ready"]


def test_two_athletes_with_files_alike_are_two_submissions(tmp_path: Path) -> None:
    for athlete in ("ada", "bob"):
        (tmp_path / athlete).mkdir()
        (tmp_path / athlete / "force.csv").write_text(athlete)
        os.utime(tmp_path / athlete / "force.csv", (1e9, 1e9))
    found = [Proposal((), tmp_path / name / "force.csv", name) for name in ("ada", "bob")]
    assert run(found, tmp_path / "out", here)[0] == ["ready", "ready"]


def test_a_file_that_is_taken_away_meanwhile_stops_no_other(tmp_path: Path) -> None:
    found = submissions(tmp_path / "in", "a", "b")
    (tmp_path / "in" / "0.csv").unlink()
    rows = run_batch(found, tmp_path / "out", here, lambda done, count: None)
    assert len(rows) == 2 and rows[1].status == "ready"


def test_a_record_leads_to_no_place_outside(tmp_path: Path) -> None:
    """The folder may have come from a stranger."""
    found = submissions(tmp_path / "in", "a")
    run(found, tmp_path / "out", here)
    record = tmp_path / "out" / RECORD
    told = json.loads(record.read_text())
    (key,) = told["reviews"]
    told["reviews"][key] = "../outside.review"
    record.write_text(json.dumps(told))
    run(found, tmp_path / "out", here)
    assert not (tmp_path / "outside.review").exists()


def test_two_batches_do_not_work_in_one_folder(tmp_path: Path) -> None:
    found = submissions(tmp_path / "in", "a")
    (tmp_path / "out").mkdir()
    lock = locks.take(tmp_path / "out" / LOCK)
    assert lock is not None
    with pytest.raises(BatchError, match="Another batch works"):
        run(found, tmp_path / "out", here)
    lock.release()
    assert run(found, tmp_path / "out", here)[0] == ["ready"]


def test_leaving_early_ends_the_processes(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    jobs = [
        DraftJob((), str(p.force), str(out / f"{n}.review"), p.athlete)
        for n, p in enumerate(submissions(tmp_path / "in", *"abcdef"))
    ]
    running = on_this_machine(jobs, obey, 1)
    next(running)
    running.close()  # type: ignore[attr-defined]
    made = len(list(out.glob("*.review")))
    assert made <= len(jobs)


def test_a_row_has_the_keys_of_the_contract() -> None:
    row = DraftRow(("a.mp4",), None, "ready", "a.review", 1.0, "")
    assert list(row.as_dict()) == ["films", "force", "status", "review", "seconds", "remark"]
