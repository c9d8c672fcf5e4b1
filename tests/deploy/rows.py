"""Reads every row of every table with the database's own client library, not through the site."""

import sqlite3
from contextlib import closing

from tests.deploy.running import Place

Tables = dict[str, list[str]]


def every_row(where: Place) -> Tables:
    """Table → its rows as text, sorted; the same text means the same values of the same types."""
    url = where.environment.get("SIXMARK_DATABASE_URL", "")
    return _postgresql(url) if url else _sqlite(where)


def _sqlite(where: Place) -> Tables:
    with closing(sqlite3.connect(where.data / "sixmark.sqlite3")) as connection:
        names = [row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: sorted(map(repr, connection.execute(f'SELECT * FROM "{name}"'))) for name in names}


def _postgresql(url: str) -> Tables:
    import psycopg

    with psycopg.connect(url) as connection:
        names = connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = current_schema()").fetchall()
        return {name: sorted(map(repr, connection.execute(f'SELECT * FROM "{name}"').fetchall())) for (name,) in names}


def rows(where: Place, query: str) -> list[tuple[object, ...]]:
    """What one SELECT answers."""
    url = where.environment.get("SIXMARK_DATABASE_URL", "")
    if url:
        import psycopg

        with psycopg.connect(url) as server:
            return list(server.execute(query).fetchall())
    with closing(sqlite3.connect(where.data / "sixmark.sqlite3")) as connection:
        return list(connection.execute(query))


def change(where: Place, statement: str) -> None:
    """One SQL statement, as a fault or a later change would leave it."""
    url = where.environment.get("SIXMARK_DATABASE_URL", "")
    if url:
        import psycopg

        with psycopg.connect(url, autocommit=True) as server:
            server.execute(statement)
        return
    with closing(sqlite3.connect(where.data / "sixmark.sqlite3")) as connection, connection:
        connection.execute(statement)
