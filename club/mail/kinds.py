"""What mails are about. Readers stop a kind, never a single mail; their pages stay as they are."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

StrOrPromise = str | Promise


@dataclass(frozen=True, slots=True)
class Kind:
    """words: after "mail about". shows_progress: only guardians whose tie shows progress get it."""

    name: str
    words: StrOrPromise
    shows_progress: bool


CHANGES = Kind("changes", _("practices that are cancelled, moved or put back on"), shows_progress=False)
WEEK = Kind("week", _("the week: dates, and what was worked on"), shows_progress=True)
PROGRESS = Kind("progress", _("progress, every three to four weeks"), shows_progress=True)

KINDS = {kind.name: kind for kind in (CHANGES, WEEK, PROGRESS)}
