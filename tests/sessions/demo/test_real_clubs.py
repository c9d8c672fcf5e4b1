"""A real club is left alone."""

import pytest
from django.core.management import CommandError, call_command

from club.models import Club
from tests.builders import make_club


@pytest.mark.django_db
def test_beside_a_real_club_nothing_is_made() -> None:
    make_club()
    with pytest.raises(CommandError, match="Nothing was changed"):
        call_command("load_demo")
    assert Club.objects.count() == 1
