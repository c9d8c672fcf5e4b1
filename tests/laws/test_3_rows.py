"""Law 3: one door to rows."""

import pytest
from django.apps import apps

from club.crossings import crossings
from club.models import Club, Person
from club.scope import ClubOwned, ClubQuerySet
from tests.builders import make_athlete, make_club, make_person, make_squad
from tests.laws.source import APPS

# Rows that belong to no club: the club itself, a human being, and the state of the workers.
OF_NO_CLUB = {"club.Club", "club.Person", "club.Heartbeat"}


def our_models() -> list[type]:
    return [model for model in apps.get_models() if model.__module__.split(".")[0] in APPS]


def test_every_model_is_owned_by_a_club() -> None:
    assert {model._meta.label for model in our_models() if not issubclass(model, ClubOwned)} == OF_NO_CLUB


@pytest.mark.parametrize("model", our_models(), ids=lambda model: model._meta.label)
def test_rows_of_a_club_come_through_its_query_set(model: type) -> None:
    if issubclass(model, ClubOwned):
        assert isinstance(model._default_manager.all(), ClubQuerySet)


@pytest.mark.parametrize("model", our_models(), ids=lambda model: model._meta.label)
def test_the_path_to_a_rows_subject_exists(model: type) -> None:
    if getattr(model, "subject", ""):
        assert model._default_manager.filter(**{f"{model.subject}__in": []}).count() == 0
        last = model._meta
        for name in model.subject.split("__"):
            last = last.get_field(name).related_model._meta
        assert last.model is Person


@pytest.mark.django_db
def test_a_foreign_key_into_another_club_is_found() -> None:
    here, there = make_club(), make_club()
    athlete = make_athlete(here, make_person(there, "athlete"))
    squad = make_squad(there)
    squad.athletes.add(athlete)
    assert [(found.model, found.rows) for found in crossings()] == [("athletes.Athlete_squads", 1)]
    squad.athletes.clear()
    assert crossings() == [] and Club.objects.count() == 2
