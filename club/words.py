"""Days; lengths and masses in a club's own units, and as they stand in a field to be typed over."""

from datetime import date
from decimal import Decimal

from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _

from club.core.units import feet_inches, plain, pounds
from club.models import Club


def is_imperial(club: Club) -> bool:
    return bool(club.units == Club.Units.IMPERIAL)


def day_words(day: date) -> str:
    """ "4 December 2026"."""
    return date_format(day, _("j F Y"))


def length_words(metres: Decimal, club: Club) -> str:
    """ "3.40 m" or "11 ft 6 in"."""
    if is_imperial(club):
        said = feet_inches(metres)
        return _("%(feet)d ft %(inches)s in") % {"feet": said.feet, "inches": number_format(said.inches)}
    return _("%(metres)s m") % {"metres": number_format(round(metres, 2))}


def mass_words(kilograms: Decimal, club: Club) -> str:
    """ "58.5 kg" or "130 lb"."""
    if is_imperial(club):
        return _("%(pounds)s lb") % {"pounds": number_format(plain(round(pounds(kilograms), 1)))}
    return _("%(kilograms)s kg") % {"kilograms": number_format(plain(round(kilograms, 1)))}


def length_input(metres: Decimal, club: Club) -> str:
    """What the length field reads back as the same length. Units as the parser knows them, in any language."""
    said = feet_inches(metres)
    return f"{said.feet} ft {said.inches} in" if is_imperial(club) else f"{plain(metres)} m"


def mass_input(kilograms: Decimal, club: Club) -> str:
    return f"{pounds(kilograms)} lb" if is_imperial(club) else f"{plain(kilograms)} kg"


def safeguarding_words(name: str, phone: str) -> str:
    if not phone:
        return _("Safeguarding officer: %(name)s.") % {"name": name}
    return _("Safeguarding officer: %(name)s, %(phone)s.") % {"name": name, "phone": phone}
