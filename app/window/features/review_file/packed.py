"""A .zip of a submission: unpacked into a folder beside it, then sorted like any folder."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from app.review.values.text import clean_name
from app.window.features.review_file.archiving import ArchiveOpening
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages


class PackedSubmissions:
    """Takes a .zip that holds recordings, or a review with its own; others are left alone."""

    def __init__(
        self, session: ReviewSession, jobs: Jobs, messages: Messages, archives: ArchiveOpening
    ) -> None:
        self._session, self._jobs, self._messages = session, jobs, messages
        self._archives = archives

    def take(self, paths: Sequence[Path]) -> bool:
        """Unpack and open a .zip, with what was dropped beside it; False where there is none."""
        from app.submission.unpacking import recordings_of_zip, unpack

        if len(paths) == 1 and self._archives.take(paths[0]):
            return True
        packed = [p for p in paths if p.suffix.lower() == ".zip" and recordings_of_zip(p)]
        if not packed:
            return False
        others = [p for p in paths if p not in packed]

        def work(progress: Progress, cancelled: Cancelled) -> list[Path]:
            return [unpack(path) for path in packed]

        def use(folders: list[Path]) -> None:
            self._session.open_paths([*folders, *others])

        names = " and ".join(clean_name(path.name) for path in packed)
        self._jobs.run(f"Unpacking {names}", work, use, self._session.refuse)
        return True
