"""The features these tests need, and libraries with athletes in them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import update

from app.library.library import Library
from app.library.past import past_of
from app.library.people import find_athlete
from app.library.record import record_bundle, store
from app.library.summaries import SentBundle
from app.library.tables import SUBMISSION
from app.window.actions.feature import Feature
from app.window.features.athletes.feature import AthletesFeature
from app.window.features.review_file.feature import ReviewFileFeature
from tests.helpers.library_rows import told_review

Put = Callable[..., None]


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    return (ReviewFileFeature, AthletesFeature)


def ago(days: float) -> str:
    return (datetime.now(UTC) - timedelta(days=days)).isoformat(timespec="milliseconds")


@pytest.fixture
def put() -> Iterator[Put]:
    """Puts an athlete into this user's library: what came so many days ago, and was answered."""
    with Library.open() as library:

        def put_one(name: str, came: float, told: float | None = None, **more: object) -> None:
            store(library, [told_review(name, **more)])  # type: ignore[arg-type]
            athlete = find_athlete(library, name)
            mine = SUBMISSION.c.athlete_id == athlete.id
            with library.writing() as connection:
                connection.execute(update(SUBMISSION).where(mine).values(received_at=ago(came)))
            if told is not None:
                review = past_of(library, athlete.id).reviews[-1]
                bundle = SentBundle(f"{len(name):032x}", ago(told))
                record_bundle(library, review.review_id, bundle)

        yield put_one
