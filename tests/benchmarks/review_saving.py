"""What saving after every change costs: `python -m tests.benchmarks.review_saving`."""

import statistics
import tempfile
import time
from pathlib import Path

from app.review.parts.notes import AddNote, EditNote, new_note
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.review.review import Review

CHANGES = 60


def milliseconds_per_change(folder: Path, notes: int) -> list[float]:
    """Type into one note of a review that holds many."""
    review = Review.create(folder / f"{notes}.review", ReviewState())
    for i in range(notes):
        review.do(
            AddNote(new_note(float(i), "Hands away before the trunk rocks over. " * 3)), False
        )
    review.save()
    edited = review.state.notes[0].id
    took = []
    for i in range(CHANGES):
        start = time.perf_counter()
        review.do(EditNote(edited, text=f"typing {i}"))
        took.append((time.perf_counter() - start) * 1e3)
    return took


def main() -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for notes in (1, 30, 300, 3000):
            took = milliseconds_per_change(folder, notes)
            size = (folder / f"{notes}.review").stat().st_size / 1e3
            print(
                f"{notes:5d} notes, {size:6.0f} kB: {statistics.median(took):.1f} ms a change "
                f"[{min(took):.1f}..{max(took):.1f}]"
            )
        film = folder / "film"
        film.write_bytes(bytes(200_000_000))
        start = time.perf_counter()
        refer(film, "video", folder / "a.review")
        print(f"size and SHA-256: {200 / (time.perf_counter() - start):.0f} MB/s")


if __name__ == "__main__":
    main()
