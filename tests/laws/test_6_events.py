"""Law 6: events are append-only."""

import pytest

from sessions.reps.models import Event


@pytest.mark.django_db
def test_events_cannot_be_updated_or_deleted() -> None:
    for change in (lambda: Event.objects.update(version=2), lambda: Event.objects.all().delete()):
        with pytest.raises(TypeError, match="append-only"):
            change()
    with pytest.raises(TypeError, match="append-only"):
        Event(pk=1).save()
    with pytest.raises(TypeError, match="append-only"):
        Event(pk=1).delete()
