"""Filling a library: what saving and sending leave in it. Doing it twice changes nothing."""

from __future__ import annotations

import json
import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, Final

from sqlalchemy import Connection, Row, Table, and_, delete, exists, or_, select, update

from app.library.library import Library, put
from app.library.people import insert_athlete, name_key, now, of_name
from app.library.rows import finding_row, measure_rows, section_row
from app.library.summaries import ReviewSummary, SentBundle
from app.library.tables import (
    ANSWER,
    ATHLETE,
    BUNDLE,
    FINDING,
    MEASURE,
    PRESCRIPTION,
    RECORDING,
    REVIEW,
    SECTION,
    SUBMISSION,
)

_AT_ONCE: Final = 200  # reviews in one transaction: others who write wait no longer than for that
_MEASURED: Final = (SECTION, FINDING)  # measures go with their sections
_SAID: Final = (PRESCRIPTION, ANSWER)


@dataclass(frozen=True)
class Recorded:
    """What became of reviews that were to be recorded, by their identities.

    Attributes
    ----------
    unnamed : those that do not say whom they are about, or have no identity yet; not recorded
    """

    added: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    unchanged: tuple[str, ...] = ()
    unnamed: tuple[str, ...] = ()


def record_bundle(library: Library, review_id: str, bundle: SentBundle) -> bool:
    """Keep that a bundle was written; False where the review is not in the library.

    Raises
    ------
    LibraryError
        It could not be written; nothing was changed.
    """
    with library.writing() as connection:
        query = select(REVIEW.c.athlete_id).where(REVIEW.c.id == review_id)
        athletes = list(connection.execute(query).scalars())
        told = {name: getattr(bundle, name) for name in SentBundle.__dataclass_fields__}
        put(
            connection,
            BUNDLE,
            [{**told, "review_id": review_id, "athlete_id": athlete} for athlete in athletes],
        )
    return bool(athletes)


def new_bundle_id() -> str:
    """Return an id no other bundle has."""
    return uuid.uuid4().hex


def store(library: Library, summaries: Iterable[ReviewSummary]) -> Recorded:
    """Keep many reviews, some at a time in one transaction.

    Raises
    ------
    LibraryError
        Something could not be written; what was written before it stays.
    """
    total: dict[str, list[str]] = defaultdict(list)
    for some in _in_parts(summaries, _AT_ONCE):
        # Two copies of one review in a row: the later one counts.
        of_id = {s.review_id: s for s in some if s.review_id and name_key(s.athlete)}
        total["unnamed"] += [s.review_id for s in some if s.review_id not in of_id]
        if of_id:
            with library.writing() as connection:
                for what, ids in _Batch(connection, library.coach).write(of_id).items():
                    total[what] += ids
    return Recorded(**{what: tuple(ids) for what, ids in total.items()})


def _in_parts(summaries: Iterable[ReviewSummary], most: int) -> Iterator[list[ReviewSummary]]:
    left = iter(summaries)
    while some := list(islice(left, most)):
        yield some


@dataclass
class _Rows:
    """Rows to be written, by table; parents come first."""

    of: dict[str, list[dict[str, Any]]] = field(default_factory=lambda: defaultdict(list))

    def add(self, table: Table, *rows: dict[str, Any]) -> None:
        self.of[table.name].extend(rows)


class _Batch:
    """Some reviews in one transaction."""

    def __init__(self, connection: Connection, coach: str) -> None:
        self._connection = connection
        self._coach = coach
        self._ids: dict[str, str] = {}
        self._rows = _Rows()

    def write(self, summaries: dict[str, ReviewSummary]) -> dict[str, list[str]]:
        """Write them, and say what became of each."""
        there: dict[str, list[Row[Any]]] = defaultdict(list)
        for row in self._connection.execute(select(REVIEW).where(REVIEW.c.id.in_(summaries))):
            there[row.id].append(row)
        became: dict[str, list[str]] = defaultdict(list)
        cleared: dict[Table, list[tuple[str, str]]] = defaultdict(list)
        for review_id, summary in summaries.items():
            known = there.get(review_id, [])
            athlete_id = self._athlete(summary, known)
            here = next((row for row in known if row.athlete_id == athlete_id), None)
            self._leave_others(review_id, [r.athlete_id for r in known if r is not here])
            if here is not None and here.digest == summary.digest:
                self._moved(here, summary)
                became["unchanged"].append(review_id)
                continue
            became["added" if here is None else "changed"].append(review_id)
            keeps = here is not None and _keeps_measures(here, summary)
            for table in _to_clear(here, keeps):
                cleared[table].append((review_id, athlete_id))
            self._collect(summary, athlete_id, here if keeps else None)
        self._clear(cleared)
        self._put()
        return became

    def _athlete(self, summary: ReviewSummary, known: Sequence[Row[Any]]) -> str:
        """Whom a review is about: as before, as long as its file says the same name."""
        key = name_key(summary.athlete)
        for row in known:
            if name_key(row.name_in_file) == key:
                return str(row.athlete_id)
        if key not in self._ids:
            found = of_name(self._connection, self._coach, summary.athlete)
            self._ids[key] = found or insert_athlete(self._connection, self._coach, summary.athlete)
        athlete_id = self._ids[key]
        self._agreed(summary, athlete_id)
        return athlete_id

    def _agreed(self, summary: ReviewSummary, athlete_id: str) -> None:
        """Take consent and age from the review, as long as nobody said them of the athlete."""
        is_them = ATHLETE.c.id == athlete_id
        if summary.consent is not None:
            self._connection.execute(
                update(ATHLETE)
                .where(is_them, ATHLETE.c.consent.is_(None))
                .values(
                    consent=summary.consent,
                    consent_on=now()[:10],
                    consent_words="As the review says: being filmed, and the footage being sent.",
                )
            )
        if summary.minor:
            self._connection.execute(
                update(ATHLETE).where(is_them, ATHLETE.c.under_age.is_(None)).values(under_age=True)
            )

    def _leave_others(self, review_id: str, athletes: Sequence[str]) -> None:
        """A review whose file names another athlete now leaves the one it was with."""
        for athlete_id in athletes:
            self._connection.execute(
                delete(REVIEW).where(REVIEW.c.id == review_id, REVIEW.c.athlete_id == athlete_id)
            )
            still = exists().where(
                REVIEW.c.submission_id == SUBMISSION.c.id, REVIEW.c.athlete_id == athlete_id
            )
            self._connection.execute(
                delete(SUBMISSION).where(SUBMISSION.c.athlete_id == athlete_id, ~still)
            )

    def _moved(self, here: Row[Any], summary: ReviewSummary) -> None:
        if summary.path and here.path != summary.path:
            self._connection.execute(
                update(REVIEW)
                .where(REVIEW.c.id == here.id, REVIEW.c.athlete_id == here.athlete_id)
                .values(path=summary.path)
            )

    def _collect(self, s: ReviewSummary, athlete_id: str, before: Row[Any] | None) -> None:
        own = {"review_id": s.review_id, "athlete_id": athlete_id}
        add = self._rows.add
        if s.submission_id:
            add(SUBMISSION, _submission_row(s, athlete_id))
            whose = {"submission_id": s.submission_id, "athlete_id": athlete_id}
            add(
                RECORDING,
                *({**whose, "kind": r.kind, "sha256": r.sha256, "size": r.size, "path": r.path}
                  for r in s.recordings),
            )  # fmt: skip
        add(REVIEW, _review_row(s, athlete_id, before))
        if before is None:
            kept = dict(s.kept)
            for place, section in enumerate(s.piece.sections):
                add(SECTION, {**own, **section_row(place, section)})
                add(MEASURE, *({**own, **row} for row in measure_rows(place, section)))
            for place, finding in enumerate(s.piece.findings):
                add(FINDING, {**own, **finding_row(place, finding), "kept": kept.get(finding.code)})
        for place, told in enumerate(s.prescriptions):
            add(PRESCRIPTION, {**own, "place": place, **told.__dict__})
        add(ANSWER, *({**own, **answer.__dict__} for answer in s.answers))

    def _clear(self, of: dict[Table, list[tuple[str, str]]]) -> None:
        for table, reviews in of.items():
            by_athlete: dict[str, list[str]] = defaultdict(list)
            for review_id, athlete_id in reviews:
                by_athlete[athlete_id].append(review_id)
            wanted = or_(
                *(
                    and_(table.c.athlete_id == athlete, table.c.review_id.in_(ids))
                    for athlete, ids in by_athlete.items()
                )
            )
            self._connection.execute(delete(table).where(wanted))

    def _put(self) -> None:
        of = self._rows.of
        put(self._connection, SUBMISSION, of[SUBMISSION.name], keep=("received_at",))
        put(self._connection, RECORDING, of[RECORDING.name])
        put(self._connection, REVIEW, of[REVIEW.name], keep=("added_at",))
        for table in (SECTION, MEASURE, FINDING, PRESCRIPTION, ANSWER):
            put(self._connection, table, of[table.name])


def _to_clear(here: Row[Any] | None, keeps: bool) -> tuple[Table, ...]:
    if here is None:
        return ()
    return _SAID if keeps else (*_SAID, *_MEASURED)


def _keeps_measures(here: Row[Any], summary: ReviewSummary) -> bool:
    """Whether what was measured before stays: of the same recordings, which are not at hand now."""
    same = here.submission_id == (summary.submission_id or None)
    return same and bool(here.looked_at) and not summary.is_measured


def _submission_row(s: ReviewSummary, athlete_id: str) -> dict[str, Any]:
    kinds = [recording.kind for recording in s.recordings]
    return {
        "id": s.submission_id,
        "athlete_id": athlete_id,
        "rowed_on": s.piece.rowed_on,
        "received_at": now(),
        "films": kinds.count("video"),
        "forces": kinds.count("trace"),
    }


def _review_row(s: ReviewSummary, athlete_id: str, before: Row[Any] | None) -> dict[str, Any]:
    moment, piece = now(), s.piece
    measured: dict[str, Any] = {
        "rowed_on": piece.rowed_on,
        "source": piece.source,
        "looked_at": " ".join(piece.looked_at),
        "unjudged": json.dumps(list(piece.unjudged)),
        "analysis_version": piece.analysis_version,
    }
    if before is not None:
        measured = {name: getattr(before, name) for name in measured}
    return {
        "id": s.review_id,
        "athlete_id": athlete_id,
        "submission_id": s.submission_id or None,
        "title": s.title,
        "name_in_file": s.athlete,
        "draft": s.draft,
        "path": s.path,
        "added_at": moment,
        "changed_at": moment,
        "notes": s.notes,
        "digest": s.digest,
        **measured,
    }
