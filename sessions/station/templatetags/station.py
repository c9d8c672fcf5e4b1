"""The picture of a sync mark without its words, for a line whose count the script keeps."""

from django import template
from django.templatetags.static import static
from django.utils.safestring import SafeString, mark_safe

from club.core import marks
from sessions.station import assets

register = template.Library()


@register.simple_tag
def sync_picture(state: str) -> SafeString:
    """state: tablet, server or look. Hidden from screen readers: words stand beside it."""
    # Safe: Drawing.markup escapes every value itself.
    return mark_safe(marks.sync_mark(marks.SyncState(state)).markup())


@register.simple_tag
def station_modules() -> list[str]:
    """Addresses of the app's modules."""
    return [static(name) for name in assets.modules()]
