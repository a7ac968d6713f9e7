"""The same work on a Dask cluster: each submission is a task that any worker may do again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from app.drafts.errors import BatchError
from app.drafts.job import DraftJob, Prepared, failed
from app.drafts.workers import Prepare

PATIENCE_S: Final = 15.0  # for the scheduler to answer
RETRIES: Final = 2
LOST: Final = "Every worker that tried it was lost, perhaps for want of memory."
NOT_INSTALLED: Final = (
    "A cluster needs the package distributed, which is not installed; install strokeside with its "
    "extra “cluster”."
)


def on_cluster(
    jobs: Sequence[DraftJob], prepare: Prepare, address: str
) -> Iterator[tuple[DraftJob, Prepared]]:
    """Prepare submissions on the workers of a scheduler; gives each as it is done.

    A worker that is lost costs its submission a second try on another one. Leaving the loop early
    takes back what was not begun.

    Parameters
    ----------
    address : of the scheduler, such as tcp://HOST:8786

    Raises
    ------
    BatchError
        The scheduler cannot be reached, or the package is not installed.
    """
    try:
        from distributed import Client, as_completed
    except ImportError as error:
        raise BatchError(NOT_INSTALLED) from error
    try:
        client = Client(address, timeout=PATIENCE_S)
    except (OSError, ValueError, TimeoutError) as error:
        raise BatchError(
            f"There is no scheduler at {address}; start one with dask scheduler, or leave "
            "--scheduler out to use this machine alone."
        ) from error
    with client:
        futures = {
            client.submit(prepare, job, key=f"draft-{job.key}", pure=False, retries=RETRIES): job
            for job in jobs
        }
        try:
            for future in as_completed(list(futures)):
                job = futures[future]
                lost = future.exception() is not None
                yield job, failed(job, LOST) if lost else future.result()
        finally:
            client.cancel(list(futures))
