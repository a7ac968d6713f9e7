"""Who may see what in a club: roles of PostgreSQL and policies on each row, no code of ours.

A coach is a role of PostgreSQL that is a member of `strokeside_coach`. A coach sees the athletes
they own and those shared with them; of the others not even that they exist. The owner of the tables
(whoever opened the library first) stands outside these rules and should not be a coach's role.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

COACH: Final = "strokeside_coach"

_SHARED = "SELECT athlete_id FROM athlete_share WHERE coach = current_user"
_MINE = "owner = current_user"
_SEEN = "athlete_id IN (SELECT id FROM athlete)"
_WRITTEN = (
    f"athlete_id IN (SELECT id FROM athlete WHERE {_MINE}) "
    f"OR athlete_id IN ({_SHARED} AND may_write)"
)
# A coach who shares an athlete may change what is known of them, never whose they are.
_CHANGEABLE = (
    "name, birth_year, level, notes, under_age, consent, consent_on, consent_words"  # of athlete
)


def statements(of_athlete: Iterable[str]) -> Iterator[str]:
    """Give the statements that set a club's rules.

    Parameters
    ----------
    of_athlete : tables that carry `athlete_id` and follow the athlete
    """
    yield (
        f"DO $$ BEGIN IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = '{COACH}') "
        f"THEN CREATE ROLE {COACH} NOLOGIN; END IF; END $$"
    )
    yield f"GRANT SELECT ON alembic_version TO {COACH}"
    yield from _of_athletes()
    for table in of_athlete:
        yield f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY"
        yield f"GRANT SELECT, INSERT, UPDATE, DELETE ON {table} TO {COACH}"
        yield f"CREATE POLICY seen ON {table} FOR SELECT USING ({_SEEN})"
        yield f"CREATE POLICY written ON {table} FOR ALL USING ({_WRITTEN}) WITH CHECK ({_WRITTEN})"


def _of_athletes() -> Iterator[str]:
    for table in ("athlete", "athlete_share"):
        yield f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY"
    yield f"GRANT SELECT, INSERT, DELETE, UPDATE ({_CHANGEABLE}) ON athlete TO {COACH}"
    yield f"GRANT SELECT, INSERT, DELETE, UPDATE (may_write) ON athlete_share TO {COACH}"
    seen = f"{_MINE} OR id IN ({_SHARED})"
    changed = f"{_MINE} OR id IN ({_SHARED} AND may_write)"
    yield f"CREATE POLICY seen ON athlete FOR SELECT USING ({seen})"
    yield f"CREATE POLICY added ON athlete FOR INSERT WITH CHECK ({_MINE})"
    yield f"CREATE POLICY changed ON athlete FOR UPDATE USING ({changed}) WITH CHECK ({changed})"
    yield f"CREATE POLICY deleted ON athlete FOR DELETE USING ({_MINE})"
    # That the owner named is the athlete's is held by the foreign key on both.
    yield f"CREATE POLICY seen ON athlete_share FOR SELECT USING (coach = current_user OR {_MINE})"
    yield f"CREATE POLICY given ON athlete_share FOR ALL USING ({_MINE}) WITH CHECK ({_MINE})"
