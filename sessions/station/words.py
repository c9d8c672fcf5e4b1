"""What the script of a station page says. Scripts hold no words of their own: they get them from here, translated."""

from collections.abc import Callable
from dataclasses import asdict, dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

COUNTED_TO = 200
"""Plural forms of every language repeat after each hundred from 100 on, so 0 to 199 say it for all numbers."""


@dataclass(frozen=True, slots=True)
class Counted:
    """forms: the different texts for a number; pick: for each number from 0 to 199 the index of its form."""

    forms: tuple[str, ...]
    pick: str


def counted(say: Callable[[int], str]) -> Counted:
    """A message whose text depends on ``count``. say: number → its text, not yet filled in."""
    texts = [say(n) for n in range(COUNTED_TO)]
    forms = tuple(dict.fromkeys(texts))
    return Counted(forms, "".join(str(forms.index(text)) for text in texts))


_COUNTED: dict[str, Callable[[int], str]] = {
    "reps": lambda n: ngettext("%(count)d rep", "%(count)d reps", n),
    "looks": lambda n: ngettext("%(count)d needs a look", "%(count)d need a look", n),
    "on_tablet": lambda n: ngettext("%(count)d on the tablet", "%(count)d on the tablet", n),
    "on_server": lambda n: ngettext("%(count)d on the server", "%(count)d on the server", n),
    "minutes_left": lambda n: ngettext("%(count)d min left", "%(count)d min left", n),
    "all_did": lambda n: ngettext("All did %(count)d", "All did %(count)d", n),
    "athletes": lambda n: ngettext("Log the set of %(count)d athlete", "Log the set of %(count)d athletes", n),
    "set_done": lambda n: ngettext("a set, %(count)d athlete", "a set, %(count)d athletes", n),
}


def all_words() -> dict[str, object]:
    """Key → text, or → Counted as an object. Values are filled in by name: %(name)s."""
    plain: dict[str, object] = {**_logging(), **_queue(), **_state()}
    return plain | {key: asdict(counted(say)) for key, say in _COUNTED.items()}


def _logging() -> dict[str, str]:
    return {
        "good": pgettext("rep", "Good"),
        "good_hint": _("Tap anywhere here."),
        "fault_hint": _("Tap here to log it, or add another fault below."),
        "faults_hint": _("Tap here to log both."),
        "and": _("%(first)s, %(second)s"),
        "logged": _("Logged for %(name)s: %(what)s"),
        "logged_next": _("Logged for %(name)s: %(what)s. Next: %(next)s."),
        "did_not_see": _("Did not see"),
        "unsafe": _("Unsafe"),
        "unsafe_of": _("Unsafe: %(name)s"),
        "undo": _("Undo “%(what)s”, %(name)s"),
        "undo_set": _("Undo the set"),
        "undone": _("Taken back for %(name)s: %(what)s"),
        "nothing_to_undo": _("Nothing to undo"),
        "more_faults": _("more faults"),
        "look_for": _("Look for: %(good)s"),
        "said_cue": _("“%(cue)s”"),
        "also": _("and this"),
        "also_label": _("Watch %(what)s as well"),
        "decides": _("decides the drill"),
        "gate_again": _("What decides this drill: %(what)s"),
        "steps": _("%(drill)s, %(steps)s steps"),
        "fewer_did": _("One rep fewer for %(name)s"),
        "more_did": _("One rep more for %(name)s"),
        "fewer_watched": _("%(name)s: one rep fewer was watched"),
        "more_watched": _("%(name)s: one rep more was watched"),
        "fewer_faulty": _("%(name)s: one rep fewer with a fault"),
        "more_faulty": _("%(name)s: one rep more with a fault"),
        "which_fault": _("which fault?"),
        "which_fault_of": _("Which fault did %(name)s show?"),
        "did": _("did"),
        "watched": _("watched"),
        "faulty": _("with a fault"),
        "saw_all": _("saw all"),
        "saw_all_of": _("saw all of %(name)s"),
        "nobody_did": _("Say how many each did"),
        "unsafe_title": _("Stop. %(name)s’s rep was unsafe."),
        **_mending(),
    }


def _mending() -> dict[str, str]:
    return {
        "not_her": _("Not %(name)s?"),
        "whose": _("%(what)s: whose rep was it?"),
        "given_to": _("It is %(name)s’s now: %(what)s"),
        "change_title": _("What did %(name)s show?"),
        "changed": _("Changed for %(name)s: %(what)s"),
        "entry_correction": _("a correction"),
        "entry_note": _("a note"),
        "noted": _("The note for %(name)s is kept."),
        "note_empty": _("Write something first."),
        "adjust": _("Adjust"),
        "adjust_title": _("What do you change for %(name)s?"),
        "adjusted": _("For %(name)s from now on: %(what)s"),
        "not_adjusted": _("No longer for %(name)s: %(what)s"),
        "helps_last": _("helps the last fault"),
        "in_use": _("in use"),
    }


def _queue() -> dict[str, str]:
    return {
        "pick": _("%(name)s next, %(reps)s"),
        "about": _("%(name)s: here, late, not here, out"),
        "now": _("now"),
        "held": _("not this drill today"),
        "shut": _("not open yet"),
        "absent": _("not here"),
        "late": _("came late"),
        "here": _("here"),
        "out": _("out of practice"),
        "left": _("has left"),
        "injured": _("injured"),
        "unwell": _("unwell"),
        "other": _("another reason"),
        "mark_good": pgettext("rep", "good"),
        "mark_faulty": pgettext("rep", "faulty"),
        "mark_not_watched": pgettext("rep", "not watched"),
        "marks": _("Today, in order: %(marks)s"),
        "carry": _("carry"),
        "drop": _("drop"),
        "plant": _("plant"),
        "contact": _("tip contact"),
        "all": _("whole run"),
    }


def _state() -> dict[str, str]:
    return {
        "offline": _("No answer from the club’s server. Everything is kept on this page; it tries again by itself."),
        "stopped": _(
            "The server no longer lets this page send. Everything is kept on this page:"
            " sign in again in another tab, then send again here."
        ),
        "kept": _("On the server: a coach looks at it before it counts."),
        "rejected": _("Only on this page: the server did not take it."),
        "no_reason": _("The server gave no reason."),
        "held_by": _("%(name)s’s device holds this station since %(time)s."),
        "time_over": _("time is over"),
        "this_device": _("station tablet"),
        "entry": _("%(name)s: %(what)s"),
        "entry_undo": _("taking back"),
        "entry_hold": _("holding the station"),
        "entry_release": _("letting the station go"),
    }
