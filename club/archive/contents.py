"""What an archive holds: every model that a club owns, but for those that an app leaves out and says why.

Nothing has to be registered to be kept: a model that somebody adds is in the next archive.
"""

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any

from django.apps import apps
from django.db import models

from club.models import Club, Duty, Mail, Membership, Person, SignInLink
from club.scope import ClubOwned

Check = Callable[[Club], Iterable[str]]

_left_out: dict[type[models.Model], str] = {}
_checks: dict[str, Check] = {}
_after: dict[str, Callable[[Club], None]] = {}


def leave_out(why: str, *left: type[models.Model]) -> None:
    """These models are in no archive; why is said in its description."""
    _left_out.update(dict.fromkeys(left, why))


def left_out() -> dict[type[models.Model], str]:
    return dict(_left_out)


def checks(name: str) -> Callable[[Check], Check]:
    """Registers what an app asks of a club that was just loaded, before it is kept: a sentence for each fault."""

    def register(check: Check) -> Check:
        _checks[name] = check
        return check

    return register


def faults(club: Club) -> Iterator[str]:
    return (fault for name in sorted(_checks) for fault in _checks[name](club))


def after_loading(name: str) -> Callable[[Callable[[Club], None]], Callable[[Club], None]]:
    """Registers what an app does with a club that was just loaded, such as asking for figures that are left out."""

    def register(work: Callable[[Club], None]) -> Callable[[Club], None]:
        _after[name] = work
        return work

    return register


def finish(club: Club) -> None:
    for name in sorted(_after):
        _after[name](club)


@checks("club")
def somebody_leads_it(club: Club) -> Iterator[str]:
    """Without a head coach nobody could ever sign in."""
    coaches = Membership.objects.for_club(club).filter(role=Membership.RoleChoice.HEAD_COACH, left_on__isnull=True)
    return iter(() if coaches.exists() else ("nobody in it is a head coach now",))


leave_out("whoever signs in is invited anew", SignInLink)
leave_out("work in the background of this server alone", Duty)
leave_out("mail is sent once, by the server that queued it", Mail)

# ── models and fields ────────────────────────────────────────────────────────────────────────────────────────────────

NOT_OF_A_PERSON = frozenset({"password", "last_login"})


def name_of(model: type[models.Model]) -> str:
    return model._meta.label_lower


@cache
def kept_models() -> tuple[type[models.Model], ...]:
    """Persons first, then every model after those that it points to. A point to itself or round about is no matter:
    references are looked at when all is there."""
    wanted = [Person, *(model for model in apps.get_models(include_auto_created=True) if _of_a_club(model))]
    found: dict[type[models.Model], None] = {}
    for model in sorted(wanted, key=lambda model: (model is not Person, name_of(model))):
        _put(model, set(wanted), found, frozenset())
    return tuple(found)


def _put(model: type[models.Model], wanted: set[Any], found: dict[Any, None], above: frozenset[Any]) -> None:
    for field in references(model):
        target = field.related_model
        if target in wanted and target not in found and target not in above | {model}:
            _put(target, wanted, found, above | {model})
    found.setdefault(model)


def _of_a_club(model: type[models.Model]) -> bool:
    if model in _left_out:
        return False
    return issubclass(model, ClubOwned) or bool(_owned_ends(model))


def _owned_ends(model: type[models.Model]) -> list[models.Field]:
    """Of the hidden table behind a many-to-many field: its ends. Of any other model: none."""
    if not model._meta.auto_created:
        return []
    ends = [field for field in references(model) if issubclass(field.related_model, ClubOwned)]  # type: ignore[arg-type]
    return ends if len(ends) == 2 else []


def references(model: type[models.Model]) -> list[models.Field]:
    """Foreign keys, but for the one to the club."""
    return [field for field in kept_fields(model) if field.is_relation]


@cache
def kept_fields(model: type[models.Model]) -> tuple[models.Field, ...]:
    skipped = NOT_OF_A_PERSON if model is Person else frozenset({"club"})
    return tuple(field for field in model._meta.concrete_fields if field.name not in skipped)


def club_fields() -> tuple[models.Field, ...]:
    return kept_fields(Club)


def rows(club: Club, model: type[models.Model]) -> models.QuerySet[Any]:
    """The club's rows of that model, in the order of their keys, which is the same in every database."""
    found = model._default_manager.all()
    if model is Person:
        found = found.filter(pk__in=persons(club))
    elif issubclass(model, ClubOwned):
        found = model._default_manager.for_club(club)  # type: ignore[attr-defined]
    else:
        found = found.filter(**{f"{_owned_ends(model)[0].name}__club": club})
    return found.order_by("pk")


def persons(club: Club) -> set[Any]:
    """Ids of everybody whom a row of the club names."""
    found = set(Membership.objects.for_club(club).values_list("person", flat=True))
    for model in kept_models():
        for field in references(model):
            if field.related_model is Person and model is not Person:
                named = rows(club, model).order_by().exclude(**{field.name: None})
                found.update(named.values_list(field.attname, flat=True).distinct())
    return found
