"""What stands on each line of a station's check: said so that a yes means it is right."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as N_

_ITEMS: dict[str, str] = {
    "ground": N_("The ground is level, dry and clear, and nobody walks through."),
    "poles": N_("Poles: no crack, no spike cut, the plug is in, nobody holds above the band."),
    "runway": N_("The runway is dry and clear, and one vaulter at a time is on it."),
    "surface": N_("The tip slides here: tried by hand."),
    "wall": N_("The wall is solid, and the tip is held against a mat."),
    "mat": N_("The mat behind is clear."),
    "walked": N_("It is walked, and nobody jumps."),
    "shoes": N_("Shoes grip."),
    "box_slides": N_("The sliding box lies flat and slides freely, and nothing is behind it."),
    "pit": N_("The pit’s pieces are together and strapped."),
    "padding": N_("Hard edges and the bases of the standards are padded."),
    "collar": N_("The box collar is in."),
    "standards": N_("The standards are set and stand fast."),
    "nobody_beside": N_("Nobody is beside the box or the pit, and nobody pushes."),
    "no_phone": N_("Whoever runs the runway holds no phone or tablet while somebody runs."),
}


def item_words(key: str) -> str:
    return _(_ITEMS[key])
