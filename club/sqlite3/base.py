"""Django's SQLite backend with a queue before the one place where writers wait.

SQLite lets one transaction write at a time. Whoever finds it taken sleeps a while and tries again, longer each time:
with fifty tablets sending, half the time passed asleep while nobody wrote, and the unlucky waited ten seconds. Here
writers wait for a lock on a file beside the database; the kernel wakes them when it is free, and takes it from a
process that was killed. Only the order of waiting rests on it: SQLite's own locks stand behind it as ever. A single
statement outside a transaction waits there too: those in the queue would never leave it a gap.
"""

import fcntl
import os
from collections.abc import Callable, Sequence
from functools import partial
from sqlite3 import Connection
from typing import Any

from django.db.backends.sqlite3 import base

WRITES = ("INSERT", "UPDATE", "DELETE", "REPLACE")


class DatabaseWrapper(base.DatabaseWrapper):
    """One file descriptor a connection, so that threads queue as processes do. In memory there is no queue."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._turn: int | None = None

    def create_cursor(self, name: str | None = None) -> "Cursor":
        return self.connection.cursor(factory=partial(Cursor, self))

    def in_turn(self, execute: Callable[..., Any], statement: str, given: Sequence[Any]) -> Any:
        """Runs one statement; where it writes and no transaction holds the turn already, in a turn of its own."""
        if self.connection.in_transaction or not statement.lstrip().upper().startswith(WRITES):
            return execute(statement, *given)
        self._wait_for_turn()
        try:
            return execute(statement, *given)
        finally:
            self._end_turn()

    def _start_transaction_under_autocommit(self) -> None:
        if self.transaction_mode == "IMMEDIATE":
            self._wait_for_turn()
        try:
            super()._start_transaction_under_autocommit()
        except BaseException:
            self._end_turn()
            raise

    def _commit(self) -> None:
        # A commit that failed leaves the transaction open; the rollback that follows ends the turn.
        super()._commit()
        self._end_turn()

    def _rollback(self) -> None:
        try:
            super()._rollback()
        finally:
            self._end_turn()

    def _close(self) -> None:
        try:
            super()._close()
        finally:
            self._end_turn()

    def _wait_for_turn(self) -> None:
        if self.is_in_memory_db():
            return
        queue = os.open(f"{self.settings_dict['NAME']}-queue", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        try:
            fcntl.flock(queue, fcntl.LOCK_EX)
        except BaseException:
            os.close(queue)
            raise
        self._turn = queue

    def _end_turn(self) -> None:
        if self._turn is not None:
            os.close(self._turn)  # gives the lock back
            self._turn = None


class Cursor(base.SQLiteCursorWrapper):
    """Statements that write take their turn."""

    def __init__(self, wrapper: DatabaseWrapper, connection: Connection) -> None:
        super().__init__(connection)
        self.wrapper = wrapper

    def execute(self, query: str, *given: Any) -> Any:
        return self.wrapper.in_turn(super().execute, query, given)

    def executemany(self, query: str, *given: Any) -> Any:
        return self.wrapper.in_turn(super().executemany, query, given)
