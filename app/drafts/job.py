"""One submission to be prepared, and what became of it: plain values for any process or machine."""

from __future__ import annotations

import contextlib
import hashlib
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from app.library.summaries import ReviewSummary

Status = Literal["ready", "failed"]


@dataclass(frozen=True)
class DraftJob:
    """A submission to be prepared.

    Attributes
    ----------
    films, force : paths; where a cluster works, the same on each of its machines
    review : the review file to make
    why, remark : as `pairing.Proposal`
    """

    films: tuple[str, ...]
    force: str | None
    review: str
    athlete: str = ""
    why: str = ""
    remark: str = ""

    @property
    def key(self) -> str:
        """By which an athlete's files are known again, as long as they are not changed."""
        said = [self.athlete]
        for name in (*self.films, *([self.force] if self.force else [])):
            said.append(Path(name).name)
            with contextlib.suppress(OSError):  # taken away meanwhile: preparing it says so
                found = Path(name).stat()
                said.append(f"{found.st_size}:{found.st_mtime_ns}")
        return hashlib.sha256("\n".join(said).encode("utf-8", "replace")).hexdigest()


@dataclass(frozen=True)
class DraftRow:
    """What became of a submission.

    Attributes
    ----------
    status : "ready": its review lies at `review`; "failed": `remark` says why
    seconds : how long it took; 0 for one that was ready before
    """

    films: tuple[str, ...]
    force: str | None
    status: Status
    review: str | None
    seconds: float
    remark: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Give it as plain values, ready for JSON."""
        return {**asdict(self), "films": list(self.films)}


@dataclass(frozen=True)
class Prepared:
    """A row, and what a library keeps of the draft; None where there is none."""

    row: DraftRow
    summary: ReviewSummary | None = None


def failed(job: DraftJob, why: str, seconds: float = 0.0) -> Prepared:
    """Say that a submission could not be prepared."""
    remark = " ".join(part for part in (job.remark, why) if part)
    return Prepared(DraftRow(job.films, job.force, "failed", None, round(seconds, 2), remark))
