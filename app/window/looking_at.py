"""A judging look at footage just opened, while the coach already works with it."""

from __future__ import annotations

from app.window.jobs import Cancelled, Jobs, Progress
from app.window.material import Footage
from app.window.message_line import Messages


def look_at(footage: Footage, before: tuple[str, ...], jobs: Jobs, messages: Messages) -> None:
    """Say what the footage lacks for a review, when it has been looked at.

    Parameters
    ----------
    before : what was said already and stays with it
    """

    def work(progress: Progress, cancelled: Cancelled) -> tuple[str, ...]:
        seen: tuple[str, ...] = jobs.aside.call(
            "app.media.describe:look_at", (footage.path, footage.index), progress, cancelled
        )
        return seen

    def tell(remarks: tuple[str, ...]) -> None:
        if remarks:
            messages.warn(" ".join((*before, *remarks)))

    jobs.run(f"Looking at {footage.path.name}", work, tell, lambda error: messages.warn(str(error)))
