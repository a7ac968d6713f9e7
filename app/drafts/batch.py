"""A folder of submissions made into drafts; killed at any moment, it goes on where it was."""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import fields, replace
from pathlib import Path
from typing import Any, Final, TypeGuard

from app.drafts.errors import BatchError
from app.drafts.job import DraftJob, DraftRow, Prepared
from app.drafts.pairing import Proposal
from app.files import atomic, locks
from app.review.values.text import readable

RECORD: Final = ".batch.json"
LOCK: Final = ".batch.lock"
_MOST_BYTES: Final = 64 << 20
ENDING: Final = ".review"
_LONGEST: Final = 120  # bytes of the name of a review
_SPARING: Final = 10  # times as long as a writing took, until the next
_NAMED = "reviews"
_DONE = "rows"

Source = Callable[[Sequence[DraftJob]], Iterator[tuple[DraftJob, Prepared]]]


def run_batch(
    proposals: Sequence[Proposal], out: Path, source: Source, told: Callable[[Prepared, int], None]
) -> tuple[DraftRow, ...]:
    """Prepare what is not ready yet; gives a row a submission, in their order.

    What failed before is tried again. A review that is there already is never written over.

    Parameters
    ----------
    out : the folder for the reviews; made where it is missing
    source : prepares jobs and gives each as it is done, in any order
    told : hears of each, also of those that were ready, with how many there are in all

    Raises
    ------
    BatchError
        Another batch works in that folder, or it cannot be written to.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        lock = locks.take(out / LOCK)
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise BatchError(f"Nothing can be written to {out.name} ({reason}).") from error
    if lock is None:
        raise BatchError(f"Another batch works in {out.name}; let it finish, or choose another.")
    try:
        return _run(proposals, out, source, told)
    finally:
        lock.release()


def _run(
    proposals: Sequence[Proposal], out: Path, source: Source, told: Callable[[Prepared, int], None]
) -> tuple[DraftRow, ...]:
    record = _Record(out / RECORD)
    jobs = record.jobs(proposals, out)
    rows: dict[str, DraftRow] = {}
    for key, job in jobs.items():
        row = record.ready(key, job)
        if row is not None:
            rows[key] = row
            told(Prepared(row), len(jobs))
    key_of = {job.review: key for key, job in jobs.items()}
    left = [job for key, job in jobs.items() if key not in rows]
    try:
        for job, prepared in source(left) if left else ():
            key = key_of[job.review]
            rows[key] = prepared.row
            record.keep(key, prepared.row)
            told(prepared, len(jobs))
    finally:
        record.write()
    return tuple(rows[key] for key in jobs)


class _Record:
    """What is known of earlier runs in a folder; damaged or gone, it costs doing things again."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._next = 0.0
        self._data: dict[str, dict[str, Any]] = {_NAMED: {}, _DONE: {}}
        with contextlib.suppress(OSError, ValueError, RecursionError):
            if path.stat().st_size <= _MOST_BYTES:
                found = json.loads(path.read_text("utf-8"))
                for part in self._data:
                    if isinstance(found, dict) and isinstance(found.get(part), dict):
                        self._data[part] = found[part]

    def jobs(self, proposals: Sequence[Proposal], out: Path) -> dict[str, DraftJob]:
        """Give a job each, whose review has the name it had in earlier runs."""
        named = self._data[_NAMED]
        taken = {str(name) for name in named.values()}
        used: set[str] = set()
        jobs: dict[str, DraftJob] = {}
        for proposal in proposals:
            force = None if proposal.force is None else str(proposal.force.absolute())
            films = tuple(str(path.absolute()) for path in proposal.films)
            job = DraftJob(films, force, "", proposal.athlete, proposal.why, proposal.remark)
            key = job.key
            if key in jobs:
                continue  # the same files twice, under two names
            name = named.get(key)
            if not _is_name(name) or name in used:
                name = _free(out, _stem(proposal), taken)
                named[key] = name
                taken.add(name)
            used.add(name)
            jobs[key] = replace(job, review=str((out / name).absolute()))
        self.write()
        return jobs

    def ready(self, key: str, job: DraftJob) -> DraftRow | None:
        """The row of a submission that is ready, as an earlier run told it; None for others."""
        told = self._data[_DONE].get(key)
        if not isinstance(told, dict) or not Path(job.review).is_file():
            return None
        try:
            row = DraftRow(**{f.name: told[f.name] for f in fields(DraftRow)})
        except (KeyError, TypeError):
            return None
        is_ready = row.status == "ready" and isinstance(row.remark, str)
        here = replace(row, films=job.films, force=job.force, review=job.review, seconds=0.0)
        return here if is_ready else None

    def keep(self, key: str, row: DraftRow) -> None:
        """Keep what became of a submission; of thousands, not each is written by itself."""
        self._data[_DONE][key] = row.as_dict()
        if time.monotonic() >= self._next:  # what a death costs is looking at a review again
            self.write()

    def write(self) -> None:
        """Have it on the disk, where that can be."""
        began = time.monotonic()
        with contextlib.suppress(OSError):  # a full disk costs doing things again
            atomic.write(self._path, json.dumps(self._data, indent=1).encode())
        self._next = time.monotonic() + _SPARING * (time.monotonic() - began)


def _is_name(name: object) -> TypeGuard[str]:
    """Whether a record names a review in its folder,."""
    return (
        isinstance(name, str)
        and name.endswith(ENDING)
        and len(name.encode("utf-8", "replace")) <= _LONGEST + 20
        and "\0" not in name
        and Path(name).name == name
    )


def _stem(proposal: Proposal) -> str:
    first = proposal.force if proposal.why == "names" and proposal.force else None
    path = first or (proposal.films[0] if proposal.films else proposal.force)
    assert path is not None
    return f"{proposal.athlete} {path.stem}" if proposal.athlete else path.stem


def _free(out: Path, stem: str, taken: set[str]) -> str:
    """A name no review has, of this batch or of the coach."""
    # Bytes are what a name may have few of, and a letter of some scripts takes four.
    stem = readable(stem).encode()[:_LONGEST].decode("utf-8", "ignore").strip() or "draft"
    count = 1
    while True:
        name = f"{stem}{f' {count}' if count > 1 else ''}{ENDING}"
        if name not in taken and not (out / name).exists():
            return name
        count += 1
