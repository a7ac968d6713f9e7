"""The command `batch`: drafts of a whole folder, on all cores or on a cluster."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.answer import Answer, CommandError, progress
from app.commands.tables import table

if TYPE_CHECKING:
    from app.drafts.batch import Source
    from app.drafts.job import DraftJob, DraftRow, Prepared
    from app.library.summaries import ReviewSummary


def add_options(command: argparse.ArgumentParser) -> None:
    """Options of `batch`."""
    command.add_argument("folder", type=Path, metavar="FOLDER", help="films and force recordings")
    command.add_argument(
        "-o", "--output", type=Path, required=True, metavar="DIR", help="the folder for reviews"
    )
    where = command.add_mutually_exclusive_group()
    where.add_argument(
        "--scheduler", metavar="ADDRESS", help="a Dask cluster's, such as tcp://HOST:8786"
    )
    where.add_argument(
        "--processes", type=_count, metavar="N", help="at once; one a core without it"
    )
    command.add_argument(
        "--library", metavar="URL", help="the library that is to know of the drafts"
    )


def batch(options: argparse.Namespace) -> Answer:
    """Prepare a draft of every submission in a folder."""
    from app.drafts.batch import run_batch
    from app.drafts.evidence import keeps_step, recorded_when
    from app.drafts.pairing import proposals

    if not options.folder.is_dir():
        raise CommandError(f"There is no folder {options.folder.name}; check the name.")
    source = _source(options)
    found = proposals(options.folder, keeps_step, recorded_when, [options.output])
    if not found:
        raise CommandError(
            f"There is no film and no force recording in {options.folder.name}; nothing was done."
        )
    summaries: list[ReviewSummary] = []
    with _watched() as show:

        def told(prepared: Prepared, count: int) -> None:
            show(prepared, count)
            if prepared.summary is not None:
                summaries.append(prepared.summary)
            if prepared.row.seconds > 0.0:
                _remember(prepared.row)

        rows = run_batch(found, options.output, source, told)
    remark = _into_library(options.library, summaries)
    return _answer(rows, remark)


def _source(options: argparse.Namespace) -> Source:
    from app.drafts.prepare import prepare

    def here(jobs: Sequence[DraftJob]) -> Iterator[tuple[DraftJob, Prepared]]:
        from app.drafts.workers import on_this_machine

        return on_this_machine(jobs, prepare, options.processes)

    def there(jobs: Sequence[DraftJob]) -> Iterator[tuple[DraftJob, Prepared]]:
        from app.drafts.cluster import on_cluster

        return on_cluster(jobs, prepare, options.scheduler)

    return there if options.scheduler else here


@contextmanager
def _watched() -> Iterator[Callable[[Prepared, int], None]]:
    """Show how far it is to somebody who watches; a log or a pipe is spared."""
    if progress() is None:
        yield lambda prepared, count: None
        return
    from rich.console import Console
    from rich.markup import escape
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    from app.review.values.text import clean_name

    columns = (
        TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn(),
    )  # fmt: skip
    with Progress(*columns, console=Console(file=sys.stderr), transient=True) as bar:
        task = bar.add_task("Preparing drafts", total=None)

        def show(prepared: Prepared, count: int) -> None:
            row = prepared.row
            name = Path(row.review or (*row.films, row.force or "")[0]).name
            bar.update(task, total=count, advance=1, description=escape(clean_name(name)[:40]))

        yield show


def _remember(row: DraftRow) -> None:
    """Keep that somebody named these files for a review on this machine."""
    from app.commands.recordings import access
    from app.review.file.store import read_review
    from app.review.values.errors import ReviewError

    if row.review is None:
        return
    path = Path(row.review)
    try:
        state = read_review(path)
    except ReviewError:
        return  # taken away meanwhile
    for ref, name in ((state.video, row.films[0] if row.films else None), (state.trace, row.force)):
        if ref is not None and name is not None:
            access().chose(path, ref, Path(name))


def _into_library(where: str | None, summaries: Sequence[ReviewSummary]) -> str:
    """Keep the drafts in the library that is named, or in one's own where there is one."""
    from app.commands.keeping import has_library

    if not summaries or not (where or has_library()):
        return ""
    from app.library.errors import LibraryError
    from app.library.library import Library
    from app.library.record import store

    try:
        with Library.open(where) as library:
            store(library, summaries)
    except LibraryError as error:
        return f"The drafts are ready, but the library does not know of them: {error}"
    return ""


def _answer(rows: Sequence[DraftRow], remark: str) -> Answer:
    ready = sum(row.status == "ready" for row in rows)
    data = {
        "submissions": [row.as_dict() for row in rows],
        "ready": ready,
        "failed": len(rows) - ready,
        "remarks": [remark] if remark else [],
    }
    cells = [
        (
            ", ".join(Path(name).name for name in row.films) or "–",
            Path(row.force).name if row.force else "–",
            row.status,
            Path(row.review).name if row.review else "–",
            f"{row.seconds:.1f}" if row.seconds else "before",
            row.remark,
        )
        for row in rows
    ]
    text = table(("films", "force", "status", "review", "seconds", "remark"), cells)
    said = f"{ready} of {len(rows)} drafts are ready."
    return Answer(data, "\n".join(part for part in (text, said, remark) if part))


def _count(text: str) -> int:
    value = int(text)
    if not 1 <= value <= 256:
        raise ValueError(text)
    return value
