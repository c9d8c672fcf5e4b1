"""Copies a whole database out and puts it back: SQLite's online backup, or PostgreSQL's own tools."""

import os
import shutil
import sqlite3
import subprocess
import time
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from deploy import Refused

SECONDS_TO_LEAVE = 5.0  # a stopped server's connections are gone well before

# Everything of ours in the schema, so that nothing newer than the backup outlives it.
_EMPTY_SCHEMA = """
DO $$ DECLARE thing record; BEGIN
  FOR thing IN SELECT c.relname AS name, c.relkind AS kind FROM pg_class c
      WHERE c.relnamespace = current_schema()::regnamespace AND c.relkind IN ('r', 'p', 'v', 'm') LOOP
    EXECUTE format('DROP %s IF EXISTS %I CASCADE',
      CASE thing.kind WHEN 'v' THEN 'VIEW' WHEN 'm' THEN 'MATERIALIZED VIEW' ELSE 'TABLE' END, thing.name);
  END LOOP;
  FOR thing IN SELECT c.relname AS name FROM pg_class c
      WHERE c.relnamespace = current_schema()::regnamespace AND c.relkind = 'S' LOOP
    EXECUTE format('DROP SEQUENCE IF EXISTS %I CASCADE', thing.name);
  END LOOP;
END $$;
"""


class Database(Protocol):
    @property
    def kind(self) -> str: ...

    @property
    def file_name(self) -> str: ...

    def copy_to(self, target: Path) -> None: ...

    def check(self, copy: Path) -> None:
        """Raises Refused when the copy is damaged."""

    def put_back(self, copy: Path) -> None:
        """Replaces everything with the copy, or leaves everything as it was and raises."""

    def refuse_if_in_use(self) -> None: ...


@dataclass(frozen=True, slots=True)
class Sqlite:
    file: Path
    kind: str = "sqlite"
    file_name: str = "database.sqlite3"

    def copy_to(self, target: Path) -> None:
        if not self.file.exists():
            raise Refused(f"There is no database at {self.file} yet.")
        with closing(sqlite3.connect(self.file)) as live, closing(sqlite3.connect(target)) as copy:
            live.backup(copy)
        self.check(target)

    def check(self, copy: Path) -> None:
        try:
            with closing(sqlite3.connect(copy)) as connection:
                found = [row[0] for row in connection.execute("PRAGMA integrity_check")]
        except sqlite3.DatabaseError as error:
            found = [str(error)]
        if found != ["ok"]:
            raise Refused(f"{copy} is damaged: {'; '.join(map(str, found[:3]))}")

    def put_back(self, copy: Path) -> None:
        draft = self.file.with_name(f".{self.file.name}.restoring")
        shutil.copyfile(copy, draft)
        draft.chmod(0o600)
        self.check(draft)
        # A log of the old database must not be played into the new one.
        for suffix in ("-wal", "-shm"):
            self.file.with_name(self.file.name + suffix).unlink(missing_ok=True)
        draft.replace(self.file)

    def refuse_if_in_use(self) -> None:
        """The data folder's own lock tells, see DataFolder.held."""


@dataclass(frozen=True, slots=True)
class PostgreSQL:
    """host: a name, an address or a socket's folder; empty for the client's default. port: empty for the default."""

    name: str
    user: str
    password: str
    host: str
    port: str
    options: tuple[tuple[str, str], ...] = ()
    kind: str = "postgresql"
    file_name: str = "database.dump"

    def copy_to(self, target: Path) -> None:
        self._run(["pg_dump", "--format=custom", "--no-owner", "--no-acl", f"--file={target}"])
        self.check(target)

    def check(self, copy: Path) -> None:
        self._run(["pg_restore", "--list", str(copy)], connect=False)

    def put_back(self, copy: Path) -> None:
        script = copy.with_name(f".{copy.name}.{os.getpid()}.sql")
        empty = script.with_suffix(".empty")
        try:
            self._run(
                ["pg_restore", "--no-owner", "--no-acl", f"--file={script}", str(copy)],
                connect=False,
            )
            empty.write_text(_EMPTY_SCHEMA, encoding="utf-8")
            self._run(
                ["psql", "--quiet", "--no-psqlrc", "--set=ON_ERROR_STOP=1", "--single-transaction"]
                + [f"--file={empty}", f"--file={script}"]
            )
        finally:
            script.unlink(missing_ok=True)
            empty.unlink(missing_ok=True)

    def refuse_if_in_use(self) -> None:
        """Waits up to SECONDS_TO_LEAVE: the server notices a little later that a client has gone."""
        until = time.monotonic() + SECONDS_TO_LEAVE
        while (others := self._other_clients()) and time.monotonic() < until:
            time.sleep(0.2)
        if others:
            raise Refused(f"{others} other connections use the database {self.name}. Stop every server first.")

    def _other_clients(self) -> int:
        """Connections of clients; the database server's own workers (autovacuum) are none."""
        counted = self._run(
            ["psql", "--quiet", "--no-psqlrc", "--tuples-only", "--no-align", "--command"]
            + [
                "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()"
                " AND pid <> pg_backend_pid() AND backend_type = 'client backend'"
            ]
        )
        return int(counted.strip() or 0)

    def _run(self, command: Sequence[str], *, connect: bool = True) -> str:
        try:
            done = subprocess.run(
                [*command, *([f"--dbname={self.name}"] if connect else [])],
                env=os.environ | self._environment(),
                stdin=subprocess.DEVNULL,
                capture_output=True,
                text=True,
            )
        except FileNotFoundError:
            raise Refused(f"{command[0]} is missing. Install it: sudo apt-get install -y postgresql-client") from None
        if done.returncode:
            raise Refused(f"{command[0]} did not succeed:\n{done.stderr.strip()}")
        return done.stdout

    def _environment(self) -> dict[str, str]:
        """For libpq. The password goes this way because others on the machine can read arguments."""
        values = {"PGHOST": self.host, "PGPORT": self.port, "PGUSER": self.user, "PGPASSWORD": self.password}
        names = {"sslmode": "PGSSLMODE", "sslrootcert": "PGSSLROOTCERT", "application_name": "PGAPPNAME"}
        values |= {names[key]: value for key, value in self.options if key in names}
        return {key: value for key, value in values.items() if value}


def from_settings(default: dict[str, Any]) -> Database:
    """The database of Django's DATABASES["default"]."""
    if default["ENGINE"] == "club.sqlite3":
        return Sqlite(Path(default["NAME"]))
    return PostgreSQL(
        name=default["NAME"],
        user=default["USER"],
        password=default["PASSWORD"],
        host=default["HOST"],
        port=str(default["PORT"]),
        options=tuple((key, value) for key, value in default.get("OPTIONS", {}).items() if isinstance(value, str)),
    )
