"""Words for what the club's own pages show by its kind."""

from decimal import Decimal

from django import template

from club import duties, words
from club.models import Club

register = template.Library()


@register.simple_tag
def duty_words(kind: str) -> str:
    """What the work of a duty is."""
    return str(duties.words(kind))


@register.simple_tag
def length(metres: Decimal | None, club: Club) -> str:
    """A length in the club's units, a dash for none."""
    return "–" if metres is None else words.length_words(metres, club)


@register.simple_tag
def mass(kilograms: Decimal | None, club: Club) -> str:
    """A mass in the club's units, a dash for none."""
    return "–" if kilograms is None else words.mass_words(kilograms, club)
