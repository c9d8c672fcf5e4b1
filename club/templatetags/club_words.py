"""Words for what the club's own pages show by its kind."""

from django import template

from club import duties

register = template.Library()


@register.simple_tag
def duty_words(kind: str) -> str:
    """What the work of a duty is."""
    return str(duties.words(kind))
