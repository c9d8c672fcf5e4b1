"""Upper apps are told what a person is in the club from now on, inside the transaction that says so."""

from collections.abc import Callable
from datetime import date

from club.members import Member
from club.models import Person

Handler = Callable[[Member, Person, frozenset[str], date], None]
_handlers: list[Handler] = []


def tells(handler: Handler) -> Handler:
    """Registers a handler, called as ``handler(by, person, roles, today)``."""
    _handlers.append(handler)
    return handler


def tell(by: Member, person: Person, roles: frozenset[str], today: date) -> None:
    for handler in _handlers:
        handler(by, person, roles, today)
