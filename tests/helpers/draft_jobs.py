"""Preparations that do as they are told, for processes of their own to import."""

from __future__ import annotations

import os
import signal
from pathlib import Path

from app.drafts.job import DraftJob, DraftRow, Prepared, failed


def obey(job: DraftJob) -> Prepared:
    """Do what the athlete's name says: die, die once, fail; else write a review."""
    mark = Path(job.review + ".tried")
    if job.athlete == "die" or (job.athlete == "die once" and not mark.exists()):
        mark.write_text("")
        os.kill(os.getpid(), getattr(signal, "SIGKILL", signal.SIGTERM))
    if job.athlete == "fail":
        return failed(job, "It cannot be used.", 0.01)
    Path(job.review).write_text(f"{os.getpid()}")
    return Prepared(DraftRow(job.films, job.force, "ready", job.review, 0.01, job.remark))
