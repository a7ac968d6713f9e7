"""A judging look at footage just opened, while the coach already works with it."""

from __future__ import annotations

from collections.abc import Callable

from app.window.session.footage import Footage
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages


def look_at(
    footage: Footage,
    before: tuple[str, ...],
    on_bench: Callable[[], Footage | None],
    jobs: Jobs,
    messages: Messages,
) -> None:
    """Say what the footage lacks for a review, when it has been looked at.

    Parameters
    ----------
    before : what was said already and stays with it
    on_bench : what lies there then; of footage that was put away nobody wants to know
    """

    def work(progress: Progress, cancelled: Cancelled) -> tuple[str, ...]:
        seen: tuple[str, ...] = jobs.process_pool.call(
            "app.media.describe:look_at", (footage.path, footage.index), progress, cancelled
        )
        return seen

    def is_shown() -> bool:
        shown = on_bench()
        return shown is not None and shown.path == footage.path

    def tell(remarks: tuple[str, ...]) -> None:
        if remarks and is_shown():
            messages.warn(" ".join((*before, *remarks)))

    def refuse(error: Exception) -> None:
        if is_shown():
            messages.warn(str(error))

    jobs.run(f"Looking at {footage.path.name}", work, tell, refuse)
