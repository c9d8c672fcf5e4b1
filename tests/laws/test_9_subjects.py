"""Laws 9 and 10: nothing about a person is forgotten when it is handed out, erased or merged."""

from club import subjects


def test_every_model_that_leads_to_a_person_is_registered() -> None:
    assert [model._meta.label for model in subjects.unregistered()] == []


def test_every_registered_path_leads_to_a_person() -> None:
    for found in subjects.registered().values():
        for subject in found:
            assert subject.model._default_manager.filter(**{f"{subject.path}__isnull": True}).query
