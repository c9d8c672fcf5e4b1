"""The ground that events of these tests are about."""

import pytest

from tests.sessions.reps.ground import Ground, make_ground


@pytest.fixture
def ground(db: None) -> Ground:
    return make_ground()
