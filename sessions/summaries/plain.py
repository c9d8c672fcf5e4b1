"""What got better at each checkpoint of the shipped catalogue, said to somebody who never vaulted."""

from django.utils.translation import gettext as _


def better_sentence(key: str, called: str, name: str) -> str:
    """key: of the checkpoint. called: its name, for one that the club added. name: of the child."""
    said = _sentences().get(key)
    if said is None:
        return _("%(name)s does this better now: %(what)s.") % {"name": name, "what": called}
    return said % {"name": name}


def _sentences() -> dict[str, str]:
    return {**_carry(), **_drop(), **_plant(), **_contact(), **_all()}


def _carry() -> dict[str, str]:
    return {
        "carry-height": _("%(name)s now starts with the pole carried high, so that there is room to lower it."),
        "hand-spread": _("%(name)s now holds the pole straight along the run, the hands a shoulder’s width apart."),
    }


def _drop() -> dict[str, str]:
    return {
        "drop-start": _("%(name)s now begins to lower the pole at the right moment."),
        "drop-length": _("%(name)s now takes three full steps to lower the pole."),
        "bottom-hand-height": _("%(name)s now lowers the front hand to the right height."),
        "top-hand-at-hip": _("%(name)s now keeps the rear hand at the hip while the pole comes down."),
        "bottom-elbow": _("%(name)s now keeps the front elbow free of the body while the pole comes down."),
        "drop-tempo": _("%(name)s now lets the pole come down without hurry."),
    }


def _plant() -> dict[str, str]:
    return {
        "plant-start": _("%(name)s now begins to raise the pole at the right moment."),
        "plant-length": _("%(name)s now spreads the raising of the pole over three steps."),
        "tip-at-landing-2": _("The tip of the pole is now at eye level at the right moment when %(name)s raises it."),
        "top-hand-path": _("%(name)s now brings the upper hand up close to the body, past the ear."),
        "top-hand-leads": _("%(name)s now leads with the upper hand all the way up."),
        "plant-tempo": _("%(name)s now raises the pole fast, much faster than it came down."),
    }


def _contact() -> dict[str, str]:
    return {
        "full-reach": _("%(name)s now has the upper arm fully stretched in time."),
        "top-grip": _("%(name)s now tightens the grip of the upper hand on the way up."),
        "take-off-foot": _("%(name)s now sets the last foot under the upper hand."),
        "bottom-arm": _("%(name)s now keeps the lower arm firm and giving."),
        "tip-landing": _("The tip of the pole now touches down near the middle of the box when %(name)s plants it."),
        "tip-quiet": _("The tip of the pole now touches down smoothly when %(name)s plants it."),
        "stays-grounded": _("%(name)s now walks through calmly at the end, and stays on the ground."),
    }


def _all() -> dict[str, str]:
    return {
        "run-in-time": _("Arms and feet of %(name)s now keep one beat."),
        "posture": _("%(name)s now runs tall, with the eyes up."),
    }
