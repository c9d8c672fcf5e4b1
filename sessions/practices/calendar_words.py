"""What was changed in the calendar, in sentences."""

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sessions.practices.actions.calendar import Changed


def changed_words(changed: Changed) -> str:
    """How many were changed, and which of the series stay as they are."""
    later = len(changed.practices) - 1
    said = _("The practice is changed.")
    if later:
        said = ngettext(
            "This practice and %(count)d later one are changed.",
            "This practice and %(count)d later ones are changed.",
            later,
        ) % {"count": later}
    if not changed.stayed:
        return said
    days = ", ".join(str(date_format(row.day, "j F")) for row in changed.stayed)
    stays = ngettext(
        "%(days)s had been moved by itself before and keeps its day, time and venue.",
        "%(days)s had been moved by themselves before and keep their day, time and venue.",
        len(changed.stayed),
    )
    return f"{said} {stays % {'days': days}}"
