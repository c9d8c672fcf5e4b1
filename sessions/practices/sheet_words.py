"""What stands on the sheet for the wall, for the page and the PDF alike."""

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from sessions.practices.queries.sheet import Box, Part, Sheet, Turn


def title(sheet: Sheet) -> str:
    return f"{date_format(sheet.practice.day, 'l j F')}, {sheet.practice.starts:%H:%M}"


def about(sheet: Sheet) -> str:
    """Where, which squads, which adults, and the focus."""
    practice = sheet.practice
    where = ", ".join([practice.venue.name, *(squad.name for squad in practice.squads.all())])
    said = [f"{where}."]
    if sheet.adults:
        said.append(f"{', '.join(sheet.adults)}.")
    if practice.focus:
        said.append(_("Focus: %(focus)s.") % {"focus": practice.focus.name})
    return " ".join(said)


def turn(one: Turn) -> str:
    """A name with what somebody at the runway needs to know of it."""
    left = pgettext("left-hander, in a list of names", "L") if one.left else ""
    pole = _("pole %(tag)s") % {"tag": one.pole} if one.pole else ""
    more = ", ".join(filter(None, (left, pole)))
    return f"{one.label} ({more})" if more else one.label


def names(part: Part) -> str:
    return _("everyone") if part.everyone else ", ".join(map(turn, part.turns))


def idle_title() -> str:
    return _("Watch and help")


def block_title(box: Box) -> str:
    return _("Block %(number)d") % {"number": box.column.block.number}


def line_name(name: str) -> str:
    return name or _("All and others")


def key(sheet: Sheet) -> str:
    said = [_("Names stand in running order.")]
    if sheet.left_handers:
        said.append(_("L: left-hander."))
    if sheet.poles:
        said.append(_("Poles by the club’s tag."))
    return " ".join(said)


def no_plan() -> str:
    return _("There is no plan yet. The coach says at the practice who does what.")


def rules() -> str:
    return _("Local rules, the facility’s rules and the licensed or certified coach in charge come first.")


def foot(sheet: Sheet, club: str, published: str) -> str:
    """published: when, in words; empty for a draft."""
    stands = _("Published %(when)s.") % {"when": published} if published else _("A draft.")
    return f"{_('Sixmark, %(club)s.') % {'club': club}} {stands}"


def cancelled() -> str:
    return _("This practice is cancelled")
