"""The boards' own fixture: a fixed clock."""

from tests.sessions.boards.helpers import noon  # noqa: F401
