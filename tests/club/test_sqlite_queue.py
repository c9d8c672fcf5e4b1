"""Writers of one SQLite file take turns, and a turn ends however its transaction does."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from threading import Thread

import pytest
from django.conf import settings
from django.db import OperationalError, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from club.sqlite3.base import DatabaseWrapper

pytestmark = pytest.mark.django_db  # lets the threads connect; the database of the tests is not touched
FILE = "turns.sqlite3"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    with closing(connection_to(tmp_path / FILE)) as one, one.cursor() as cursor:
        cursor.execute("CREATE TABLE tally (n integer)")
        cursor.execute("INSERT INTO tally VALUES (0)")
    return tmp_path / FILE


def connection_to(file: Path, **options: object) -> DatabaseWrapper:
    like = {**settings.DATABASES["default"]}
    wanted = {"transaction_mode": "IMMEDIATE", "timeout": 0.05, "init_command": "PRAGMA journal_mode=WAL;", **options}
    values = {"ENGINE": "club.sqlite3", "NAME": str(file), "OPTIONS": wanted, "TIME_ZONE": None}
    return DatabaseWrapper({**like, **values, "CONN_HEALTH_CHECKS": False, "AUTOCOMMIT": True}, "turns")


def is_free(file: Path) -> bool:
    descriptor = os.open(f"{file}-queue", os.O_RDWR | os.O_CREAT, 0o600)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    else:
        return True
    finally:
        os.close(descriptor)


@pytest.fixture
def connection(file: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[DatabaseWrapper]:
    made = connection_to(file)
    monkeypatch.setattr(transaction, "get_connection", lambda using=None: made)
    yield made
    made.close()


def test_a_turn_lasts_as_long_as_the_transaction(connection: DatabaseWrapper, file: Path) -> None:
    with transaction.atomic():
        assert not is_free(file)
        with transaction.atomic():
            pass
        assert not is_free(file), "a savepoint ends no turn"
    assert is_free(file)


def test_a_turn_ends_with_a_rollback_and_with_the_connection(connection: DatabaseWrapper, file: Path) -> None:
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        raise ZeroDivisionError
    assert is_free(file)
    connection.set_autocommit(False)
    connection._start_transaction_under_autocommit()
    assert not is_free(file)
    connection.close()
    assert is_free(file)


def test_a_transaction_that_could_not_begin_keeps_no_turn(connection: DatabaseWrapper, file: Path) -> None:
    with closing(connection_to(file)) as other, other.cursor() as cursor:
        cursor.execute("BEGIN IMMEDIATE")  # past the queue, as a program of somebody else's would
        with pytest.raises(OperationalError, match="locked"), transaction.atomic():
            pass
        cursor.execute("ROLLBACK")
    assert is_free(file)


def test_a_statement_outside_a_transaction_waits_for_its_turn(connection: DatabaseWrapper, file: Path) -> None:
    """As taking a duty does. Without a place in the queue it would find the file taken for as long as others write."""
    troubles: list[Exception] = []

    def add_one() -> None:
        with closing(connection_to(file)) as mine, mine.cursor() as cursor:
            try:
                cursor.execute("UPDATE tally SET n = n + 1")
            except OperationalError as trouble:
                troubles.append(trouble)

    waiting = Thread(target=add_one)
    with transaction.atomic():
        waiting.start()
        waiting.join(4 * 0.05)  # several times as long as SQLite itself would wait
        assert waiting.is_alive()
    waiting.join()
    assert is_free(file)
    with connection.cursor() as cursor:
        assert (cursor.execute("SELECT n FROM tally").fetchone()[0], troubles) == (1, [])


def test_many_writers_that_read_first_lose_nothing_and_none_is_told_that_the_file_is_locked(file: Path) -> None:
    """SQLite itself would wait 50 ms here; in turn nobody has to."""
    troubles: list[Exception] = []

    def add(times: int) -> None:
        with closing(connection_to(file)) as mine:
            try:
                for _ in range(times):
                    _add_one(mine)
            except Exception as trouble:
                troubles.append(trouble)

    threads = [Thread(target=add, args=(25,)) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with closing(connection_to(file)) as one, one.cursor() as cursor:
        found = cursor.execute("SELECT n FROM tally").fetchone()[0]
    assert (found, troubles) == (200, [])


def _add_one(mine: BaseDatabaseWrapper) -> None:
    with mine.cursor() as cursor:
        mine._start_transaction_under_autocommit()
        n = cursor.execute("SELECT n FROM tally").fetchone()[0]
        cursor.execute("UPDATE tally SET n = %s", [n + 1])
        mine._commit()
