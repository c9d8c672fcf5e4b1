"""Sentences for athletes and parents: true, warm, without a rate and without a trade word that stands unexplained."""

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from club.core.run_strip import Hand, foot_of_landing
from sessions.boards.words import glued
from sessions.summaries.words import phase_meaning

# The athlete


def foot_sentence(hand: Hand, step: int | None) -> str:
    """For the athlete, under their strip: how to read the soles, and on which foot the marked step begins."""
    own = _("You take off from your right foot.") if hand == "left" else _("You take off from your left foot.")
    soles = _("Solid soles are left, open soles are right.")
    if step is None:
        return f"{own} {soles}"
    left = foot_of_landing(step, hand) == "left"
    marked = (
        _("The marked step is the one to think about: your %(step)s, a left.")
        if left
        else _("The marked step is the one to think about: your %(step)s, a right.")
    ) % {"step": step_name(step)}
    return f"{own} {soles} {marked}"


def strip_label(hand: Hand, step: int | None) -> str:
    """What the athlete's strip shows, for those who do not see it."""
    steps = (
        _("The last six steps of a right-handed run")
        if hand == "right"
        else _("The last six steps of a left-handed run")
    )
    return _("%(steps)s; the %(step)s is marked") % {"steps": steps, "step": step_name(step)} if step else steps


def still_label() -> str:
    """What the strip of a drill without steps shows."""
    return _("The part of the run that this drill is about. It is done standing; the rest is dashed.")


def step_name(step: int) -> str:
    """Step 3 is the third-last."""
    return {
        1: pgettext("step of the run", "last step"),
        2: pgettext("step of the run", "second-last"),
        3: pgettext("step of the run", "third-last"),
        4: pgettext("step of the run", "fourth-last"),
        5: pgettext("step of the run", "fifth-last"),
        6: pgettext("step of the run", "sixth-last"),
    }[step]


def turns_words(done: int) -> str:
    return ngettext("%(n)d turn", "%(n)d turns", done) % {"n": done}


# The parent


def phase_meanings(phases: Iterable[str]) -> list[str]:
    """In the order of the run, each once."""
    said = set(phases)
    shown = ("carry", "drop", "plant", "contact")
    return [phase_meaning(phase) for phase in shown if phase in said or "all" in said]


def came_sentence(name: str, came: int, practices: int, not_noted: int = 0) -> str:
    """ "Kalea came to 9 of the last 10 practices."

    practices: those at which it was noted who came. not_noted: how many of the same stretch are left out.
    """
    if practices == 1:
        return _came_to_one(came, not_noted) % {"name": name}
    counts = {"came": came, "n": practices}
    if not came:
        share = ngettext("none of the last %(n)d practice", "none of the last %(n)d practices", practices)
    elif not_noted:
        share = ngettext("%(came)d of %(n)d practice", "%(came)d of %(n)d practices", practices)
    else:
        share = ngettext("%(came)d of the last %(n)d practice", "%(came)d of the last %(n)d practices", practices)
    said = (
        _("%(name)s came to %(share)s at which it was noted who came.")
        if not_noted
        else _("%(name)s came to %(share)s.")
    )
    return said % {"name": name, "share": glued(share % counts)}


def _came_to_one(came: int, not_noted: int) -> str:
    if not_noted:
        return (
            _("%(name)s came to the one practice at which it was noted who came.")
            if came
            else _("%(name)s was not at the one practice at which it was noted who came.")
        )
    return _("%(name)s came to the last practice.") if came else _("%(name)s was not at the last practice.")
