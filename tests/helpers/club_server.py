"""A real PostgreSQL of one's own: in a temporary folder, reached through a socket in it alone."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

COACHES = ("anna", "ben", "cleo")


@dataclass(frozen=True)
class ClubServer:
    """One that runs.

    Attributes
    ----------
    socket : folder of its socket
    """

    socket: Path

    def url(self, role: str, database: str) -> str:
        """The address of a database there, for a role."""
        return f"postgresql://{role}@/{database}?host={self.socket}"

    def database(self, name: str) -> None:
        """Make an empty database that the role `club` owns."""
        import psycopg

        with psycopg.connect(
            host=str(self.socket), user="postgres", dbname="postgres", autocommit=True
        ) as connection:
            connection.execute(f'CREATE DATABASE "{name}" OWNER club')


def programs() -> Path:
    """Where PostgreSQL's programs lie; skips where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    named = shutil.which("initdb")
    if not found and named is None:
        pytest.skip("PostgreSQL is not here")
    return found[-1].parent if found else Path(str(named)).parent


@contextlib.contextmanager
def running() -> Iterator[ClubServer]:
    """Start a server as a user who is not root, and stop that one at the end."""
    bin_folder = programs()
    # Short: the name of a socket has a hundred characters at most.
    folder = Path(tempfile.mkdtemp(prefix="club"))
    as_user = _user(folder)
    data = folder / "data"

    def call(program: str, *words: object) -> None:
        subprocess.run(
            [str(bin_folder / program), *map(str, words)],
            check=True,
            cwd=folder,
            stdout=subprocess.DEVNULL,
            stdin=subprocess.DEVNULL,
            env={"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8"},
            **as_user,
        )

    try:
        call("initdb", "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync")
        settings = f"-k {folder} -c listen_addresses= -c fsync=off -c max_connections=40"
        call("pg_ctl", "-D", data, "-w", "-l", folder / "log", "-o", settings, "start")
        try:
            _make_roles(folder)
            yield ClubServer(folder)
        finally:
            call("pg_ctl", "-D", data, "-w", "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _user(folder: Path) -> dict[str, Any]:
    if os.geteuid() != 0:
        return {}
    try:
        who = pwd.getpwnam("postgres")
    except KeyError:
        pytest.skip("PostgreSQL is not here")
    os.chown(folder, who.pw_uid, who.pw_gid)
    return {"user": who.pw_uid, "group": who.pw_gid, "extra_groups": []}


def _make_roles(socket: Path) -> None:
    import psycopg

    with psycopg.connect(
        host=str(socket), user="postgres", dbname="postgres", autocommit=True
    ) as connection:
        connection.execute("CREATE ROLE club LOGIN CREATEROLE")
        connection.execute("CREATE ROLE strokeside_coach NOLOGIN")
        for coach in COACHES:
            connection.execute(f"CREATE ROLE {coach} LOGIN IN ROLE strokeside_coach")
        connection.execute("CREATE ROLE stranger LOGIN")
