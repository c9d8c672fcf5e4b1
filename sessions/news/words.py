"""What mails about practices say."""

from collections.abc import Sequence

from django.utils.formats import date_format, time_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sessions.news.core import Facts, What


def day_words(facts: Facts) -> str:
    return str(date_format(facts.day, _("l j F")))


def when_words(facts: Facts) -> str:
    """ "Tuesday 3 March, 17:00 to 19:00, Quarry Track"."""
    said = _("%(day)s, %(starts)s to %(ends)s, %(venue)s")
    return said % {
        "day": day_words(facts),
        "starts": time_format(facts.starts, "H:i"),
        "ends": time_format(facts.ends, "H:i"),
        "venue": facts.venue,
    }


def change_sentence(what: What, before: Facts, now: Facts) -> str:
    if what is What.CANCELLED:
        return _("Cancelled: %(when)s.") % {"when": when_words(before)}
    if what is What.BACK_ON:
        return _("On after all: %(when)s.") % {"when": when_words(now)}
    return _("Moved: now %(now)s. It was %(before)s.") % {"now": when_words(now), "before": when_words(before)}


def change_title(changes: Sequence[tuple[What, Facts, Facts]]) -> str:
    if len(changes) > 1:
        said = ngettext("%(count)d practice has changed", "%(count)d practices have changed", len(changes))
        return said % {"count": len(changes)}
    what, before, now = changes[0]
    words = {"day": day_words(before if what is What.CANCELLED else now)}
    if what is What.CANCELLED:
        return _("No practice on %(day)s") % words
    if what is What.BACK_ON:
        return _("Practice on %(day)s after all") % words
    return _("Practice moved to %(day)s") % words


def whose_practice(name: str) -> str:
    """name: the child's, or "" to the athlete."""
    return _("%(name)s’s practice:") % {"name": name} if name else _("Your practice:")


def adults_practice() -> str:
    return _("You are down for this:")


def week_title(name: str) -> str:
    return _("%(name)s: the week ahead") % {"name": name} if name else _("Your week ahead")


def date_item(when: str, bring: str, cancelled: bool) -> str:
    if cancelled:
        return _("Cancelled: %(when)s.") % {"when": when}
    return _("%(when)s. Bring: %(bring)s") % {"when": when, "bring": bring} if bring else f"{when}."


def worked_item(day: str, drills: Sequence[str]) -> str:
    return _("%(day)s: %(drills)s") % {"day": day, "drills": ", ".join(drills)}
