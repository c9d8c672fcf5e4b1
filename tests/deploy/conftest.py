"""Real servers from the scripts, each on a folder of its own. The first start is made once and then shared."""

from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from tests.deploy.running import Place, place, up


@dataclass(frozen=True)
class FirstStart:
    """A place where deploy/up --demo ran once. text: what it printed. exit_code: of Ctrl-C at its end."""

    place: Place
    text: str
    healthy_s: float
    exit_code: int
    left_alone: bool


@pytest.fixture(scope="session")
def first_start(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FirstStart]:
    with place(tmp_path_factory.mktemp("site")) as where:
        with up(where, "--demo") as site:
            exit_code = site.end()
            left_alone = where.is_left_alone()
        yield FirstStart(where, site.text, site.healthy_s, exit_code, left_alone)


@pytest.fixture
def started(first_start: FirstStart) -> Place:
    """A place with the demo club in it, and no server running."""
    return first_start.place
