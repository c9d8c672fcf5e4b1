"""Shared fixtures: a cast of people in one club, an outsider in another, and no network."""

import pytest

from tests.builders import Cast, make_cast


@pytest.fixture
def cast(db: None) -> Cast:
    """A head coach, an assistant, a helper, an athlete, her parent, an officer; and an outsider elsewhere."""
    return make_cast()


@pytest.fixture(autouse=True)
def no_cross_club_rows(request: pytest.FixtureRequest):
    """After every database test: no foreign key crosses from one club to another."""
    yield
    if "db" in request.fixturenames or "transactional_db" in request.fixturenames:
        from club.crossings import crossings

        assert crossings() == []
