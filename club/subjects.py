"""What the club keeps about a person, and how it is handed out, erased and merged.

Each app registers its models that lead to a Person. A model with such a path that nobody registered
fails a law test, so nothing about a person can be forgotten. Upper apps register later and are erased
first, so that nothing is lost to a cascade before its own app has dealt with it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import IntegrityError, models, transaction

from club.models import Club, Person

Rows = models.QuerySet[Any]


@dataclass(frozen=True, slots=True)
class Subject:
    """One model's rows about a person.

    path: field path from the model to the Person. erase: ``delete`` the rows, ``keep`` them (they hold
    nothing of the person once the person's own row is blank), or a function that blanks them. merge:
    how rows go over to another row of the same person, where rewriting the path is not enough.
    """

    model: type[models.Model]
    path: str
    erase: str | Callable[[Rows], None] = "delete"
    merge: Callable[[Rows, Person], None] | None = None

    def rows(self, club: Club, person: Person) -> Rows:
        rows = self.model._default_manager.filter(**{self.path: person})
        return rows.filter(club=club) if _club_owned(self.model) else rows


_registered: dict[type[models.Model], list[Subject]] = {}


def register(*subjects: Subject) -> None:
    for subject in subjects:
        _registered.setdefault(subject.model, []).append(subject)


def registered() -> dict[type[models.Model], list[Subject]]:
    return _registered


def export(club: Club, person: Person) -> dict[str, list[dict[str, Any]]]:
    """Everything the club keeps about the person, by model: the subject-access file."""
    found: dict[str, list[dict[str, Any]]] = {}
    for subjects in _registered.values():
        for subject in subjects:
            rows = [_plain(row) for row in subject.rows(club, person)]
            if rows:
                found.setdefault(subject.model._meta.label, []).extend(rows)
    return found


def _plain(row: models.Model) -> dict[str, Any]:
    return {
        field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields if field.name != "password"
    }


def _club_owned(model: type[models.Model]) -> bool:
    return any(field.name == "club" for field in model._meta.get_fields())


def public_id(row: models.Model) -> str:
    """The id by which the audit names a row."""
    return str(getattr(row, "uuid", row.pk))


def erase_rows(club: Club, person: Person) -> set[str]:
    """Erases what the club keeps about the person; public ids of the rows it was about.

    Runs inside the caller's transaction. The person's own row is the caller's.
    """
    about = {str(person.pk)}
    for subject in reversed([one for subjects in _registered.values() for one in subjects]):
        rows = subject.rows(club, person)
        if subject.erase == "keep":
            continue
        about.update(public_id(row) for row in rows)
        if callable(subject.erase):
            subject.erase(rows)
        else:
            rows.delete()
    return about


class MergeRefused(Exception):
    """The two persons cannot be made one."""


def merge_rows(club: Club, gone: Person, kept: Person) -> None:
    """Gives the rows of ``gone`` to ``kept``, inside the caller's transaction. Raises MergeRefused.

    Rows that hang on a profile follow it. Two profiles of one kind are not merged: which figures hold?
    """
    for subject in (one for subjects in _registered.values() for one in subjects if "__" not in one.path):
        try:
            with transaction.atomic():
                rows = subject.rows(club, gone)
                subject.merge(rows, kept) if subject.merge else rows.update(**{subject.path: kept})
        except IntegrityError as error:
            raise MergeRefused(subject.model._meta.verbose_name) from error


def unregistered() -> list[type[models.Model]]:
    """Models of ours from which a chain of foreign keys leads to Person, and which nobody registered."""
    ours = [model for model in apps.get_models() if _is_ours(model)]
    return [model for model in ours if model is not Person and model not in _registered and _leads_to_person(model)]


def _is_ours(model: type[models.Model]) -> bool:
    module = model.__module__
    return module.split(".")[0] in {"club", "drills", "athletes", "sessions"}


def _leads_to_person(model: type[models.Model], seen: frozenset[Any] = frozenset()) -> bool:
    for field in model._meta.concrete_fields:
        target = field.related_model
        if not field.is_relation or target in seen or not isinstance(target, type):
            continue
        if target is Person or _leads_to_person(target, seen | {model}):
            return True
    return False
