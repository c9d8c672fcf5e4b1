"""Shared fixtures: a cast of people in one club, an outsider in another, and no network."""

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connection
from hypothesis import HealthCheck, settings

from tests.builders import Cast, make_cast
from tests.mailing import LoopbackServer, loopback

# No test is timed: a slow machine must not make a property fail.
settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Marks what uses the database: the others say the same whichever it is, and are not run on the second one."""
    for item in items:
        names = set(getattr(item, "fixturenames", ()))
        if item.get_closest_marker("django_db") or names & {"db", "transactional_db", "live_server"}:
            item.add_marker("database")


@pytest.fixture
def cast(db: None) -> Cast:
    """A head coach, an assistant, a helper, an athlete, her parent, an officer; and an outsider elsewhere."""
    return make_cast()


@pytest.fixture
def mail_server(settings: Any) -> Iterator[LoopbackServer]:
    """A mail server on loopback, which the site's mail goes to."""
    with loopback() as server:
        settings.MAIL = server.settings
        settings.SITE_URL = "https://vault.example"
        yield server


@pytest.fixture(autouse=True)
def no_cross_club_rows(request: pytest.FixtureRequest) -> Iterator[None]:
    """After every database test: no foreign key crosses from one club to another. What a test writes is the same on
    both databases, and PostgreSQL plans this query of hundreds of joins for longer than most tests run."""
    if connection.vendor != "sqlite":
        yield
        return
    name = "transactional_db" if "transactional_db" in request.fixturenames else "db"
    used = request.node.get_closest_marker("django_db") or name in request.fixturenames
    if used:
        request.getfixturevalue(name)  # asked for here, so that it is taken down after this fixture
    yield
    if used:
        from club.crossings import crossings

        assert crossings() == []
