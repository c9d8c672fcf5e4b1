"""That a head injury is suspected is for the head coach, the athlete and the guardians; others hear until when."""

from datetime import timedelta

import pytest

from athletes.models import Restriction
from tests.builders import DAY, Cast, make_practice, make_squad
from tests.sessions.boards.helpers import get, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]
PAGES = ("athletes/{athlete}/", "athletes/{athlete}/profile/", "week/", "practices/{practice}/plan/")


@pytest.fixture
def addresses(cast: Cast) -> list[str]:
    squad = make_squad(cast.club, cast.vaulter)
    practice = make_practice(cast.club, squads=[squad], day=DAY)
    Restriction.objects.create(
        club=cast.club, athlete=cast.vaulter, excludes=["floor"], what="No practice", starts_on=DAY,
        ends_on=DAY + timedelta(days=5), needs_clearance=True,
    )  # fmt: skip
    return [page.format(athlete=cast.vaulter.pk, practice=practice.pk) for page in PAGES]


def test_an_assistant_reads_no_word_of_a_clearance_on_any_page(cast: Cast, addresses: list[str]) -> None:
    for address in addresses[:-1]:  # the plan is open to those alone who read reasons
        shown = text_of(get(cast.assistant, address))
        assert "No practice" in shown and "until further notice" in shown, address
        assert "clearance lifts" not in shown and "written clearance" not in shown and "7 March" not in shown, address


def test_the_head_coach_reads_that_a_written_clearance_must_come(cast: Cast, addresses: list[str]) -> None:
    for address in addresses:
        assert "until a written clearance lifts it" in text_of(get(cast.head_coach, address)), address


def test_the_athlete_and_the_guardian_read_it_too(cast: Cast, addresses: list[str]) -> None:
    for reader, address in ((cast.athlete, "my/"), (cast.parent, f"children/{cast.vaulter.pk}/")):
        assert "No practice, until a written clearance lifts it." in text_of(get(reader, address))
