"""A library of many athletes against the bare SQL of each job, in CPU seconds of this process.

`python -m tests.benchmarks.library_speed [ATHLETES] [REVIEWS] [club]`: with `club` also on a
PostgreSQL of its own, where two coaches fill it at once (what its server does is not counted).
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

from app.library.library import Library
from app.library.overview import Wanted, athletes
from app.library.past import past_of, progress_of
from app.library.people import find_athlete
from app.library.rebuild import rebuild
from app.library.record import store
from app.library.summaries import ReviewSummary
from app.library.tables import METADATA
from app.review.review import Review
from app.submission.load import Said, begin
from samples.force_recording import RecorderOptions, record, write_text
from samples.piece import PieceOptions, simulate_piece
from tests.helpers.library_rows import told_review

DISTINCT = 40  # pieces that are drawn; the others are copies of them
TIMES = 5


def summaries(people: int, reviews: int, prefix: str = "Athlete") -> Iterator[ReviewSummary]:
    """Reviews of many athletes in turn."""
    drawn = [told_review("x", number).piece for number in range(DISTINCT)]
    bare = told_review("x", 0, measured=False)
    for number in range(reviews):
        mark = f"{prefix} {number}".encode().hex().rjust(32, "0")[-32:]
        yield replace(
            bare,
            review_id=mark,
            athlete=f"{prefix} {number % people:04d}",
            submission_id=mark[-16:],
            recordings=tuple(replace(r, sha256=mark * 2) for r in bare.recordings),
            piece=drawn[number % DISTINCT],
        )


def cpu_s(job: Callable[[], object], times: int = 1) -> float:
    """The least CPU time of a job."""
    best = float("inf")
    for _ in range(times):
        began_s = time.process_time()
        job()
        best = min(best, time.process_time() - began_s)
    return best


def said(name: str, ours_s: float, bare_s: float) -> None:
    print(f"{name:34} {ours_s:8.3f} s  bare SQL {bare_s:8.3f} s  ratio {ours_s / bare_s:6.1f}")


def copied(source: Path, target: Path) -> None:
    """Write the same rows with the same indices by bare SQL."""
    there = sqlite3.connect(source)
    here = sqlite3.connect(target)
    here.execute("PRAGMA journal_mode = WAL")
    for (sql,) in there.execute("SELECT sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall():
        here.execute(sql)
    rows = {t.name: there.execute(f"SELECT * FROM {t.name}").fetchall() for t in
            METADATA.sorted_tables}  # fmt: skip
    there.close()

    def write() -> None:
        for name, all_of_it in rows.items():
            if all_of_it:
                marks = ", ".join("?" * len(all_of_it[0]))
                here.executemany(f"INSERT INTO {name} VALUES ({marks})", all_of_it)
        here.commit()

    copied.seconds = cpu_s(write)  # type: ignore[attr-defined]
    here.close()


LIST = """
SELECT a.id, a.name, s.newest, b.newest, n.newest, r.count FROM athlete a
LEFT JOIN (SELECT athlete_id, max(received_at) newest FROM submission GROUP BY 1) s ON s.athlete_id = a.id
LEFT JOIN (SELECT athlete_id, max(sent_at) newest FROM bundle GROUP BY 1) b ON b.athlete_id = a.id
LEFT JOIN (SELECT athlete_id, max(received_at) newest FROM answer GROUP BY 1) n ON n.athlete_id = a.id
LEFT JOIN (SELECT athlete_id, count(*) count FROM review GROUP BY 1) r ON r.athlete_id = a.id
ORDER BY s.newest DESC
"""  # noqa: E501
FIND = """
SELECT DISTINCT a.id, a.name FROM athlete a JOIN athlete_name n ON n.athlete_id = a.id
WHERE n.name_key LIKE '%0042%' OR a.id IN (SELECT athlete_id FROM review WHERE title LIKE '%0042%')
OR a.id IN (SELECT athlete_id FROM finding WHERE title LIKE '%0042%')
"""


def of_file(people: int, reviews: int, folder: Path) -> None:
    """Fill, list, search and follow up on a file."""
    path = folder / "library.db"
    with Library.open(path) as library:
        told = list(summaries(people, reviews))
        filled_s = cpu_s(lambda: store(library, told))
        told = list(summaries(people, reviews))  # anew: each knows what it was by itself
        again_s = cpu_s(lambda: store(library, told))
        copied(path, folder / "bare.db")
        bare = sqlite3.connect(folder / "bare.db")
        write_s: float = copied.seconds  # type: ignore[attr-defined]
        said(f"record {reviews} reviews", filled_s, write_s)
        said("record them again, unchanged", again_s, write_s)
        list_s = cpu_s(lambda: bare.execute(LIST).fetchall(), TIMES)
        said(f"list {people} athletes", cpu_s(lambda: athletes(library), TIMES), list_s)
        first_s = cpu_s(lambda: athletes(library, most=50), TIMES)
        said("the first 50 of them", first_s, list_s)
        found_s = cpu_s(lambda: athletes(library, wanted=Wanted("0042")), TIMES)
        said("search by a word", found_s, cpu_s(lambda: bare.execute(FIND).fetchall(), TIMES))
        id_ = find_athlete(library, "Athlete 0042").id

        def rows() -> None:
            for table in ("review", "section", "measure", "finding", "prescription", "answer"):
                bare.execute(f"SELECT * FROM {table} WHERE athlete_id = ?", (id_,)).fetchall()

        rows_s = cpu_s(rows, TIMES)
        said("an athlete's past", cpu_s(lambda: past_of(library, id_), TIMES), rows_s)
        follow_s = cpu_s(lambda: progress_of(past_of(library, id_)), TIMES)
        said("past and follow-up", follow_s, rows_s)
        bare.close()


def of_folder(count: int, folder: Path) -> None:
    """Rebuild from review files: against reading the rows of each by bare SQL."""
    options = RecorderOptions()
    piece = simulate_piece(PieceOptions(duration_s=30.0, rate_spm=26.0))
    force = folder / "force.csv"
    force.write_text(write_text(record(piece, options, 1), options), "utf-8")
    for number in range(count):
        path = folder / f"{number}.review"
        Review.create(path, begin([force], path, Said(f"{number}", "Ada")).state).close()

    def bare() -> None:
        for path in folder.glob("*.review"):
            connection = sqlite3.connect(path)
            names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            for (name,) in names.fetchall():
                connection.execute(f"SELECT * FROM {name}").fetchall()
            connection.close()

    with Library.open(folder / "library.db") as library:
        ours_s = cpu_s(lambda: rebuild(library, folder))
    said(f"rebuild from {count} files", ours_s, cpu_s(bare, TIMES))


def of_club(people: int, reviews: int) -> None:
    """Two coaches fill a club's library at once."""
    from tests.helpers.club_server import running

    with running() as server:
        server.database("club")
        Library.open(server.url("club", "club")).close()
        with (
            Library.open(server.url("anna", "club")) as anna,
            Library.open(server.url("ben", "club")) as ben,
        ):
            half = reviews // 2
            told = [list(summaries(people // 2, half, name)) for name in ("Anna", "Ben")]

            def both() -> None:
                with ThreadPoolExecutor(2) as pool:
                    list(pool.map(store, (anna, ben), told))

            print(f"{'club: two coaches record':34} {cpu_s(both):8.3f} s")
            counts = [len(athletes(library)) for library in (anna, ben)]
            assert counts == [people // 2] * 2, counts
            assert sum(one.reviews for one in athletes(anna)) == half
            print(f"{'club: list':34} {cpu_s(lambda: athletes(anna), TIMES):8.3f} s")
            wanted = Wanted("0042")
            found_s = cpu_s(lambda: athletes(anna, wanted=wanted), TIMES)
            print(f"{'club: search by a word':34} {found_s:8.3f} s")


def main() -> None:
    """Print the ratios."""
    people = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    reviews = int(sys.argv[2]) if len(sys.argv) > 2 else 10_000
    with tempfile.TemporaryDirectory() as name:
        of_file(people, reviews, Path(name))
    with tempfile.TemporaryDirectory() as name:
        of_folder(40, Path(name))
    if "club" in sys.argv[3:]:
        of_club(people, reviews)


if __name__ == "__main__":
    main()
