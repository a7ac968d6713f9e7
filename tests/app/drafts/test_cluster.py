"""The same batch on a Dask cluster of this machine."""

import logging
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.drafts.batch import run_batch
from app.drafts.cluster import LOST, on_cluster
from app.drafts.errors import BatchError
from tests.app.drafts.test_batch import submissions
from tests.helpers.draft_jobs import obey
from tests.helpers.patience import HANGS_S


@pytest.fixture(scope="module")
def cluster() -> Iterator[Any]:
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address=":0",  # any: two test processes have one each
        silence_logs=logging.CRITICAL,
    ) as made:
        yield made


@pytest.mark.skipif(sys.platform == "win32", reason="needs root: signals that kill")
def test_a_worker_that_is_killed_midway_costs_nothing(
    cluster: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.drafts.cluster.PATIENCE_S", HANGS_S)
    found = submissions(tmp_path / "in", "a", "die once", "fail", "b", "c", "d")
    rows = run_batch(
        found,
        tmp_path / "out",
        lambda jobs: on_cluster(jobs, obey, cluster.scheduler_address),
        lambda done, count: None,
    )
    assert [row.status for row in rows] == ["ready", "ready", "failed", *["ready"] * 3]
    assert rows[2].remark == "It cannot be used." != LOST
    assert len(list((tmp_path / "out").glob("*.review"))) == 5


def test_no_scheduler_is_said_in_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.drafts.cluster.PATIENCE_S", 0.5)
    found = submissions(tmp_path / "in", "a")
    with pytest.raises(BatchError, match="There is no scheduler at tcp"):
        run_batch(
            found,
            tmp_path / "out",
            lambda jobs: on_cluster(jobs, obey, "tcp://127.0.0.1:9"),
            lambda done, count: None,
        )
