"""The tables of a library; docs/library.md describes them. `migrations` makes them.

Every table but those of athletes carries the athlete, so that a club's database can say of each row
by itself who may see it, and so that all of an athlete goes at once.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Float,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
)

METADATA: Final = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _text(name: str, null: bool = False) -> Column[str]:
    return Column(name, Text, nullable=null)


def _whole(name: str, null: bool = False) -> Column[int]:
    return Column(name, Integer, nullable=null)


def _number(name: str, null: bool = False) -> Column[float]:
    return Column(name, Float, nullable=null)


def _yes(name: str, null: bool = False) -> Column[bool]:
    return Column(name, Boolean, nullable=null)


def _of(
    *columns: str, table: str = "athlete", to: tuple[str, ...] = ("id",)
) -> ForeignKeyConstraint:
    return ForeignKeyConstraint(
        columns, [f"{table}.{c}" for c in to], ondelete="CASCADE", onupdate="CASCADE"
    )


def _of_review() -> ForeignKeyConstraint:
    return _of("review_id", "athlete_id", table="review", to=("id", "athlete_id"))


ATHLETE: Final = Table(
    "athlete",
    METADATA,
    _text("id"),
    _text("owner"),
    _text("name"),
    _whole("birth_year", null=True),
    _text("level"),
    _text("notes"),
    _yes("under_age", null=True),
    _yes("consent", null=True),
    _text("consent_on"),
    _text("consent_words"),
    _text("added_at"),
    PrimaryKeyConstraint("id"),
    UniqueConstraint("id", "owner"),
    CheckConstraint("birth_year IS NULL OR birth_year BETWEEN 1900 AND 2200", name="birth_year"),
)
# The names by which reviews find an athlete; one that was given a new name keeps the old one.
ATHLETE_NAME: Final = Table(
    "athlete_name",
    METADATA,
    _text("owner"),
    _text("name_key"),
    _text("athlete_id"),
    PrimaryKeyConstraint("owner", "name_key"),
    _of("athlete_id", "owner", to=("id", "owner")),
    Index(None, "athlete_id"),
)
ATHLETE_TAG: Final = Table(
    "athlete_tag",
    METADATA,
    _text("athlete_id"),
    _text("tag"),
    PrimaryKeyConstraint("athlete_id", "tag"),
    _of("athlete_id"),
    Index(None, "tag"),
)
ATHLETE_SHARE: Final = Table(
    "athlete_share",
    METADATA,
    _text("athlete_id"),
    _text("owner"),
    _text("coach"),
    _yes("may_write"),
    PrimaryKeyConstraint("athlete_id", "coach"),
    _of("athlete_id", "owner", to=("id", "owner")),
    Index(None, "coach"),
)
SUBMISSION: Final = Table(
    "submission",
    METADATA,
    _text("id"),
    _text("athlete_id"),
    _text("rowed_on"),
    _text("received_at"),
    _whole("films"),
    _whole("forces"),
    PrimaryKeyConstraint("id", "athlete_id"),
    _of("athlete_id"),
    Index(None, "athlete_id", "received_at"),
)
RECORDING: Final = Table(
    "recording",
    METADATA,
    _text("submission_id"),
    _text("athlete_id"),
    _text("kind"),
    _text("sha256"),
    _whole("size"),
    _text("path"),
    PrimaryKeyConstraint("submission_id", "athlete_id", "kind", "sha256"),
    _of("submission_id", "athlete_id", table="submission", to=("id", "athlete_id")),
    Index(None, "sha256"),
)
REVIEW: Final = Table(
    "review",
    METADATA,
    _text("id"),
    _text("athlete_id"),
    _text("submission_id", null=True),
    _text("title"),
    _text("name_in_file"),
    _yes("draft"),
    _text("path"),
    _text("rowed_on"),
    _text("added_at"),
    _text("changed_at"),
    _text("source"),
    _text("looked_at"),
    _text("unjudged"),
    _whole("analysis_version"),
    _whole("notes"),
    _text("digest"),
    PrimaryKeyConstraint("id", "athlete_id"),
    _of("athlete_id"),
    Index(None, "athlete_id", "added_at"),
    Index(None, "path"),
)
SECTION: Final = Table(
    "section",
    METADATA,
    _text("review_id"),
    _text("athlete_id"),
    _whole("place"),
    _text("name"),
    _whole("count"),
    _number("rate_spm", null=True),
    _number("mean_n", null=True),
    PrimaryKeyConstraint("review_id", "athlete_id", "place"),
    _of_review(),
)
MEASURE: Final = Table(
    "measure",
    METADATA,
    _text("review_id"),
    _text("athlete_id"),
    _whole("place"),
    _text("key"),
    _number("mean"),
    _number("sd", null=True),
    _whole("count"),
    _number("variance"),
    _number("freedom"),
    _number("stroke_variance"),
    _yes("slow"),
    PrimaryKeyConstraint("review_id", "athlete_id", "place", "key"),
    _of(
        "review_id", "athlete_id", "place", table="section", to=("review_id", "athlete_id", "place")
    ),
    Index(None, "athlete_id", "key"),
)
FINDING: Final = Table(
    "finding",
    METADATA,
    _text("review_id"),
    _text("athlete_id"),
    _text("code"),
    _whole("place"),
    _text("title"),
    _text("phase"),
    _number("share"),
    _number("severity"),
    _text("in_sections"),
    _yes("raised"),
    _yes("whole_piece"),
    _yes("good"),
    _yes("lead"),
    _text("seen_in"),
    _number("value", null=True),
    _text("unit"),
    _yes("kept", null=True),
    PrimaryKeyConstraint("review_id", "athlete_id", "code"),
    _of_review(),
    Index(None, "code"),
)
PRESCRIPTION: Final = Table(
    "prescription",
    METADATA,
    _text("id"),
    _text("review_id"),
    _text("athlete_id"),
    _whole("place"),
    _text("finding"),
    _text("title"),
    _text("cue"),
    _text("drill"),
    _text("dose"),
    _text("until"),
    _text("film"),
    PrimaryKeyConstraint("review_id", "athlete_id", "id"),
    _of_review(),
)
BUNDLE: Final = Table(
    "bundle",
    METADATA,
    _text("id"),
    _text("review_id"),
    _text("athlete_id"),
    _text("sent_at"),
    _text("path"),
    _text("mark"),
    _text("language"),
    _yes("draft"),
    _whole("bytes"),
    PrimaryKeyConstraint("id", "review_id", "athlete_id"),
    _of_review(),
    Index(None, "athlete_id", "sent_at"),
)
ANSWER: Final = Table(
    "answer",
    METADATA,
    _text("id"),
    _text("review_id"),
    _text("athlete_id"),
    _text("received_at"),
    _whole("done"),
    _whole("open"),
    _text("comment"),
    PrimaryKeyConstraint("id", "review_id", "athlete_id"),
    _of_review(),
    Index(None, "athlete_id", "received_at"),
)
