"""Catalogue values in words."""

from django import template

from drills.words import VALUES

register = template.Library()


@register.filter
def words(value: str, kind: str) -> str:
    """A catalogue value in words: ``{{ drill.risk|words:"risk" }}``."""
    return str(VALUES[kind][value])
