"""The condition by which rows are found says the same as the core that every page explains."""

from datetime import UTC, date, datetime, timedelta
from itertools import product

import pytest

from athletes.core.restrictions import in_force
from athletes.models import Restriction
from tests.builders import Cast

TODAY = date(2026, 3, 2)
DAY = timedelta(days=1)


@pytest.mark.django_db
def test_rows_and_core_agree_on_every_kind_of_restriction(cast: Cast) -> None:
    lifted = datetime(2026, 3, 1, tzinfo=UTC)
    for start, length, clearance, unanswered, lift in product(
        (-2, -1, 0, 1), (None, 0, 1, 2), (False, True), (False, True), (None, lifted)
    ):
        starts = TODAY + start * DAY
        Restriction.objects.create(
            club=cast.club,
            athlete=cast.vaulter,
            what="no box",
            excludes=["contact"],
            starts_on=starts,
            ends_on=None if length is None else starts + length * DAY,
            needs_clearance=clearance,
            unanswered=unanswered,
            lifted_at=lift,
            clearance_by="Dr Hollis",
            clearance_on=TODAY,
        )
    rows = Restriction.objects.for_club(cast.club)
    for day in (TODAY - 3 * DAY, TODAY, TODAY + DAY, TODAY + 2 * DAY, TODAY + 9 * DAY):
        found = set(rows.filter(Restriction.binding_on(day)).values_list("pk", flat=True))
        assert found == {row.pk for row in rows if in_force(row.value(), day)}
        assert day < TODAY or found
