"""Sentences about what a head coach must hear of a practice: who did what, when, and who saw it."""

from collections.abc import Sequence
from datetime import datetime

from django.utils.formats import date_format, time_format
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from sessions.boards.words import listed


def when_words(at: datetime, with_day: bool) -> str:
    """at: by the clock on the practice's wall. "09:03", with the day "Wed 25, 09:03"."""
    clock = time_format(at.time(), "H:i")
    return _("%(day)s, %(clock)s") % {"day": date_format(at.date(), _("D j")), "clock": clock} if with_day else clock


def unsafe_sentence(who: str, drill: str, when: str, seen_by: Sequence[str]) -> str:
    """ "Unsafe: Nandi K., walking stops, 09:03, seen by Aiko." """
    values = {"who": who, "drill": drill, "when": when, "by": listed(seen_by)}
    return _("Unsafe: %(who)s, %(drill)s, %(when)s, seen by %(by)s.") % values


def waiting_sentence(who: str, when: str, by: str) -> str:
    """Kept for a coach. who: "" where the entry names nobody."""
    values = {"who": who or _("nobody named"), "when": when, "by": by}
    return _("Unsafe, and still waits for a coach’s look: %(who)s, %(when)s, seen by %(by)s.") % values


def out_sentence(who: str, reason: str, when: str, by: str) -> str:
    """ "Out: Nandi K., injured, 17:20 (Aiko)." """
    values = {"who": who, "reason": reason_words(reason), "when": when, "by": by}
    return _("Out: %(who)s, %(reason)s, %(when)s (%(by)s).") % values


def barred_sentence(who: str, name: str, when: str, by: str, why: str) -> str:
    """ "Left with a barred name: Nandi K., with Marek Novak, 19:02 (Aiko). Why: …" """
    values = {"who": who, "name": name, "when": when, "by": by, "why": why}
    return _("Left with a barred name: %(who)s, with %(name)s, %(when)s (%(by)s). Why: %(why)s") % values


def reason_words(reason: str) -> str:
    return {
        "injured": pgettext("why out of practice", "injured"),
        "unwell": pgettext("why out of practice", "unwell"),
    }.get(reason, pgettext("why out of practice", "another reason"))
