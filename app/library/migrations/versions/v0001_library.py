"""The first tables of a library."""

import sqlalchemy as sa
from alembic import op

from app.library.migrations.club import statements

revision = "0001"
down_revision = None

_OF_ATHLETE = (
    "athlete_name", "athlete_tag", "submission", "recording", "review", "section", "measure",
    "finding", "prescription", "bundle", "answer",
)  # fmt: skip


def upgrade() -> None:
    """Make the tables; in PostgreSQL also who may see what."""
    for make in (
        _athlete,
        _athlete_name,
        _athlete_share,
        _athlete_tag,
        _review,
        _submission,
        _answer,
        _bundle,
        _finding,
        _prescription,
        _recording,
        _section,
        _measure,
    ):
        make()
    if op.get_context().dialect.name == "postgresql":
        for statement in statements(_OF_ATHLETE):
            op.execute(statement)


def downgrade() -> None:
    """There is nothing before the first version."""
    raise RuntimeError("no library is older than its first version")


def _athlete() -> None:
    op.create_table(
        "athlete",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("owner", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("birth_year", sa.Integer(), nullable=True),
        sa.Column("level", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("under_age", sa.Boolean(), nullable=True),
        sa.Column("consent", sa.Boolean(), nullable=True),
        sa.Column("consent_on", sa.Text(), nullable=False),
        sa.Column("consent_words", sa.Text(), nullable=False),
        sa.Column("added_at", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "birth_year IS NULL OR birth_year BETWEEN 1900 AND 2200",
            name=op.f("ck_athlete_birth_year"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_athlete")),
        sa.UniqueConstraint("id", "owner", name=op.f("uq_athlete_id_owner")),
    )


def _athlete_name() -> None:
    op.create_table(
        "athlete_name",
        sa.Column("owner", sa.Text(), nullable=False),
        sa.Column("name_key", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["athlete_id", "owner"],
            ["athlete.id", "athlete.owner"],
            name=op.f("fk_athlete_name_athlete"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("owner", "name_key", name=op.f("pk_athlete_name")),
    )
    op.create_index(
        op.f("ix_athlete_name_athlete_id"), "athlete_name", ["athlete_id"], unique=False
    )


def _athlete_share() -> None:
    op.create_table(
        "athlete_share",
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("owner", sa.Text(), nullable=False),
        sa.Column("coach", sa.Text(), nullable=False),
        sa.Column("may_write", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["athlete_id", "owner"],
            ["athlete.id", "athlete.owner"],
            name=op.f("fk_athlete_share_athlete"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("athlete_id", "coach", name=op.f("pk_athlete_share")),
    )
    op.create_index(op.f("ix_athlete_share_coach"), "athlete_share", ["coach"], unique=False)


def _athlete_tag() -> None:
    op.create_table(
        "athlete_tag",
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("tag", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["athlete_id"],
            ["athlete.id"],
            name=op.f("fk_athlete_tag_athlete"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("athlete_id", "tag", name=op.f("pk_athlete_tag")),
    )
    op.create_index(op.f("ix_athlete_tag_tag"), "athlete_tag", ["tag"], unique=False)


def _review() -> None:
    op.create_table(
        "review",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("submission_id", sa.Text(), nullable=True),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("name_in_file", sa.Text(), nullable=False),
        sa.Column("draft", sa.Boolean(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("rowed_on", sa.Text(), nullable=False),
        sa.Column("added_at", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("looked_at", sa.Text(), nullable=False),
        sa.Column("unjudged", sa.Text(), nullable=False),
        sa.Column("analysis_version", sa.Integer(), nullable=False),
        sa.Column("notes", sa.Integer(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["athlete_id"],
            ["athlete.id"],
            name=op.f("fk_review_athlete"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", "athlete_id", name=op.f("pk_review")),
    )
    op.create_index(
        op.f("ix_review_athlete_id_added_at"), "review", ["athlete_id", "added_at"], unique=False
    )
    op.create_index(op.f("ix_review_path"), "review", ["path"], unique=False)


def _submission() -> None:
    op.create_table(
        "submission",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("rowed_on", sa.Text(), nullable=False),
        sa.Column("received_at", sa.Text(), nullable=False),
        sa.Column("films", sa.Integer(), nullable=False),
        sa.Column("forces", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["athlete_id"],
            ["athlete.id"],
            name=op.f("fk_submission_athlete"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", "athlete_id", name=op.f("pk_submission")),
    )
    op.create_index(
        op.f("ix_submission_athlete_id_received_at"),
        "submission",
        ["athlete_id", "received_at"],
        unique=False,
    )


def _answer() -> None:
    op.create_table(
        "answer",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("review_id", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("received_at", sa.Text(), nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("open", sa.Integer(), nullable=False),
        sa.Column("comment", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["review_id", "athlete_id"],
            ["review.id", "review.athlete_id"],
            name=op.f("fk_answer_review"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", "review_id", "athlete_id", name=op.f("pk_answer")),
    )
    op.create_index(
        op.f("ix_answer_athlete_id_received_at"),
        "answer",
        ["athlete_id", "received_at"],
        unique=False,
    )


def _bundle() -> None:
    op.create_table(
        "bundle",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("review_id", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("sent_at", sa.Text(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("mark", sa.Text(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("draft", sa.Boolean(), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["review_id", "athlete_id"],
            ["review.id", "review.athlete_id"],
            name=op.f("fk_bundle_review"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", "review_id", "athlete_id", name=op.f("pk_bundle")),
    )
    op.create_index(
        op.f("ix_bundle_athlete_id_sent_at"), "bundle", ["athlete_id", "sent_at"], unique=False
    )


def _finding() -> None:
    op.create_table(
        "finding",
        sa.Column("review_id", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("phase", sa.Text(), nullable=False),
        sa.Column("share", sa.Float(), nullable=False),
        sa.Column("severity", sa.Float(), nullable=False),
        sa.Column("in_sections", sa.Text(), nullable=False),
        sa.Column("raised", sa.Boolean(), nullable=False),
        sa.Column("whole_piece", sa.Boolean(), nullable=False),
        sa.Column("good", sa.Boolean(), nullable=False),
        sa.Column("lead", sa.Boolean(), nullable=False),
        sa.Column("seen_in", sa.Text(), nullable=False),
        sa.Column("value", sa.Float(), nullable=True),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("kept", sa.Boolean(), nullable=True),
        sa.ForeignKeyConstraint(
            ["review_id", "athlete_id"],
            ["review.id", "review.athlete_id"],
            name=op.f("fk_finding_review"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("review_id", "athlete_id", "code", name=op.f("pk_finding")),
    )
    op.create_index(op.f("ix_finding_code"), "finding", ["code"], unique=False)


def _prescription() -> None:
    op.create_table(
        "prescription",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("review_id", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("finding", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("cue", sa.Text(), nullable=False),
        sa.Column("drill", sa.Text(), nullable=False),
        sa.Column("dose", sa.Text(), nullable=False),
        sa.Column("until", sa.Text(), nullable=False),
        sa.Column("film", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["review_id", "athlete_id"],
            ["review.id", "review.athlete_id"],
            name=op.f("fk_prescription_review"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("review_id", "athlete_id", "id", name=op.f("pk_prescription")),
    )


def _recording() -> None:
    op.create_table(
        "recording",
        sa.Column("submission_id", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["submission_id", "athlete_id"],
            ["submission.id", "submission.athlete_id"],
            name=op.f("fk_recording_submission"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint(
            "submission_id", "athlete_id", "kind", "sha256", name=op.f("pk_recording")
        ),
    )
    op.create_index(op.f("ix_recording_sha256"), "recording", ["sha256"], unique=False)


def _section() -> None:
    op.create_table(
        "section",
        sa.Column("review_id", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("rate_spm", sa.Float(), nullable=True),
        sa.Column("mean_n", sa.Float(), nullable=True),
        sa.ForeignKeyConstraint(
            ["review_id", "athlete_id"],
            ["review.id", "review.athlete_id"],
            name=op.f("fk_section_review"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("review_id", "athlete_id", "place", name=op.f("pk_section")),
    )


def _measure() -> None:
    op.create_table(
        "measure",
        sa.Column("review_id", sa.Text(), nullable=False),
        sa.Column("athlete_id", sa.Text(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("mean", sa.Float(), nullable=False),
        sa.Column("sd", sa.Float(), nullable=True),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("variance", sa.Float(), nullable=False),
        sa.Column("freedom", sa.Float(), nullable=False),
        sa.Column("stroke_variance", sa.Float(), nullable=False),
        sa.Column("slow", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["review_id", "athlete_id", "place"],
            ["section.review_id", "section.athlete_id", "section.place"],
            name=op.f("fk_measure_section"),
            onupdate="CASCADE",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("review_id", "athlete_id", "place", "key", name=op.f("pk_measure")),
    )
    op.create_index(
        op.f("ix_measure_athlete_id_key"), "measure", ["athlete_id", "key"], unique=False
    )
