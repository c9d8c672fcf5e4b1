"""Catalogue values in words."""

from django import template
from django.utils.translation import gettext_lazy as _

from drills.core.catalogue import AdultLevel, AreaKind, PoleNeed, RiskClass, Surface, SurfaceVerdict, Unit, ViewingPlace

register = template.Library()

ADULTS = {
    AdultLevel.NONE: _("none needed"),
    AdultLevel.FLOOR: _("one who may run floor stations"),
    AdultLevel.CONTACT: _("one who may run contact stations"),
}
AREAS = {
    AreaKind.FLOOR: _("open level ground"),
    AreaKind.RUNWAY: _("runway"),
    AreaKind.WALL: _("solid wall"),
    AreaKind.SLIDING_BOX: _("sliding box"),
    AreaKind.BOX: _("runway with box and pit"),
    AreaKind.ROOM: _("room"),
}
SURFACES = {
    Surface.SMOOTH_FLOOR: _("smooth indoor floor"),
    Surface.SYNTHETIC_TRACK: _("synthetic track"),
    Surface.GRASS: _("natural grass"),
}
VERDICTS = {
    SurfaceVerdict.GOOD: _("good"),
    SurfaceVerdict.TRY_FIRST: _("try it by hand first"),
    SurfaceVerdict.NEVER: _("never"),
}
POLES = {
    PoleNeed.NONE: _("none"),
    PoleNeed.LIGHT_SHORT: _("light and short"),
    PoleNeed.ANY: _("any"),
    PoleNeed.RATED: _("rated at or above the vaulter’s mass"),
}
UNITS = {Unit.REP: _("one by one"), Unit.SET: _("in sets")}
PLACES = {
    ViewingPlace.TOP_HAND_SIDE: _("from the top-hand side"),
    ViewingPlace.SIDE: _("from the side"),
    ViewingPlace.FRONT: _("from the front"),
    ViewingPlace.BEHIND: _("from behind"),
    ViewingPlace.BESIDE_THE_BOX: _("from beside the box, well clear"),
    ViewingPlace.ANYWHERE: _("from anywhere"),
    ViewingPlace.EAR_AND_EYE: _("close by, by ear and eye"),
}
RISKS = {
    RiskClass.FLOOR: _("floor drill"),
    RiskClass.MOVING: _("moving drill"),
    RiskClass.CONTACT: _("contact drill"),
}
KINDS = {
    "adult": ADULTS,
    "area": AREAS,
    "surface": SURFACES,
    "verdict": VERDICTS,
    "pole": POLES,
    "unit": UNITS,
    "place": PLACES,
    "risk": RISKS,
}


@register.filter
def words(value: str, kind: str) -> str:
    """A catalogue value in words: ``{{ drill.risk|words:"risk" }}``."""
    return str(KINDS[kind][value])  # type: ignore[index]
