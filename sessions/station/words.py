"""What the script of a station page says. Scripts hold no words of their own: they get them from here, translated."""

from collections.abc import Callable
from dataclasses import asdict, dataclass

from django.urls import reverse
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
    "others": lambda n: ngettext(
        "%(count)d entry of somebody else waits on this tablet until they sign in.",
        "%(count)d entries of somebody else wait on this tablet until they sign in.",
        n,
    ),
    "unsent": lambda n: ngettext(
        "%(count)d entry is not on the server yet.", "%(count)d entries are not on the server yet.", n
    ),
    "unsent_notes": lambda n: ngettext(
        "The words of %(count)d note are still on this tablet and stay after you sign out: send it or save it first.",
        "The words of %(count)d notes are still on this tablet and stay after you sign out: send or save them first.",
        n,
    ),
    "saved_notes": lambda n: ngettext(
        "%(count)d note is in your file and leaves this tablet when you sign out.",
        "%(count)d notes are in your file and leave this tablet when you sign out.",
        n,
    ),
    "along": lambda n: ngettext("%(count)d athlete", "%(count)d athletes", n),
    "minutes_old": lambda n: ngettext("%(count)d minute ago", "%(count)d minutes ago", n),
}


def setup(club: str, person: str = "") -> dict[str, object]:
    """What every page of the app starts from. person: who is signed in; the shell does not know."""
    return {
        "club": club,
        "person": person,
        "start": reverse("station_start", args=[club]),
        "worker": reverse("station_worker", args=[club]),
        "manifest": reverse("station_manifest", args=[club]),
        "words": all_words(),
    }


def all_words() -> dict[str, object]:
    """Key → text, or → Counted as an object. Values are filled in by name: %(name)s."""
    plain: dict[str, object] = {**_logging(), **_queue(), **_state(), **_app()}
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
        "not_seen_here": _("From here you cannot see this."),
        "blind": _("From here you cannot see this of %(name)s: %(what)s"),
        "blind_hint": _("Logs a rep that nobody judged. Go across, or watch something else."),
        "did_it": _("Did it"),
        "unopened": _("Not opened at contact: %(names)s."),
        "contact_title": _("%(name)s is not opened for %(drill)s"),
        "back_to_turns": _("Log turn by turn"),
        "whole_round": _("Log a whole round at once"),
        "from_left": _("left of the runway"),
        "from_right": _("right of the runway"),
        "from_behind": _("behind the start"),
        "from_box": _("beside the box"),
        "from_moving": _("I move about"),
        "stand_open": _("Open for %(drill)s."),
        "stand_settled": _("Settled at %(drill)s."),
        "stand_not_open": _("Not open for %(drill)s yet."),
        "stand_closed_again": _("Closed again for %(drill)s."),
        "stand_as_of": _("%(stand)s As of %(time)s."),
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
        "offline": _("No answer from the club’s server. Everything is kept on this tablet; it tries again by itself."),
        "stopped": _(
            "The server no longer lets this page send. Everything is kept on this tablet:"
            " sign in again in another tab, then send again here."
        ),
        "outdated": _("The app on this tablet is too old to send. Everything is kept: load this page again."),
        "other_person": _(
            "Somebody else has signed in on this tablet. What you log here waits until you sign in again yourself."
        ),
        "not_kept": _(
            "This tablet could not keep the last entry, so it is NOT logged: %(why)s"
            " Write it on paper, then free some space or take another device."
        ),
        "why_full": _("its storage is full."),
        "why_broken": _("its browser does not let this page keep anything."),
        "nearly_full": _("The storage of this tablet is nearly full. Free some space before it takes no more entries."),
        "kept": _("On the server: a coach looks at it before it counts."),
        "rejected": _("Only on this tablet: the server did not take it."),
        "waiting": _("Waits for the server."),
        "somebody": _("an athlete"),
        "mend_who": _("Pick who it was"),
        "mend_fit": _("Without what this drill does not offer"),
        "mend_back": _("Take it back"),
        "mended": _("Mended: it is sent again."),
        "no_reason": _("The server gave no reason."),
        "held_by": _("%(name)s’s device holds this station since %(time)s."),
        "time_over": _("time is over"),
        "this_device": _("station tablet"),
        "entry": _("%(name)s: %(what)s"),
        "entry_undo": _("taking back"),
        "entry_hold": _("holding the station"),
        "entry_release": _("letting the station go"),
    }


def _app() -> dict[str, str]:
    return {
        "block": _("Block %(number)s"),
        "block_at": _("Block %(number)s, %(time)s"),
        "options": _("Options"),
        "practice": _("%(place)s, %(starts)s to %(finishes)s"),
        "run_here": _("%(drill)s: %(names)s"),
        "from_along": _("No network: plan and readiness as of %(time)s."),
        "fresh": _("With you as of %(time)s (%(ago)s): %(athletes)s, plan, drills and cues."),
        "not_along": _("Not on this tablet yet."),
        "taking": _("Fetching …"),
        "not_taken": _("It could not be fetched. Check the connection and try again."),
        "free": _("Log without a plan"),
        "free_lead": _("Choose a drill and who is there for it. Contact drills need a plan."),
        "free_who": _("Who is there?"),
        "free_drill": _("Which drill?"),
        "free_start": _("Start logging"),
        "moved_on": _("Nothing on this tablet for this page. It opens as soon as there is a network."),
        "nothing_along": _(
            "No practice is on this tablet. With a network, open today’s stations and take one with you."
        ),
        "ready": _("works without a network"),
        "not_ready": _("does not work without a network yet"),
        "check_secure": _("The address is secure (HTTPS)"),
        "check_worker": _("The app is on this tablet"),
        "check_plan": _("A practice is on this tablet"),
        "check_store": _("The browser has promised to keep it"),
        "check_space": _("There is room for more"),
        "check_sent": _("Nothing waits for the server"),
        "yes": _("yes"),
        "no": _("no"),
        "help_secure": _("Open the club’s HTTPS address; ask your head coach for it."),
        "help_worker": _("Stay on this page with a network for a moment, then load it again."),
        "help_plan": _("Take a practice with you, above."),
        "help_store": _("Add this page to the home screen. Without that the browser may clear it when space runs out."),
        "help_space": _("Free some space on this tablet."),
        "cards_fresh": _("As of %(time)s. Taking the cards along was noted as a look at each."),
        "card_call": _("%(name)s: %(phone)s"),
        "card_collects": _("may collect"),
        "card_no_phone": _("no phone on record"),
        "card_calls": _("Call"),
        "card_allergies": _("Allergies"),
        "card_medicines": _("Medicines that matter"),
        "card_conditions": _("What else whoever helps must know"),
        "card_barred": _("Must not collect"),
        "card_address": _("Exact address and gate"),
        "card_defibrillator": _("Where the defibrillator is"),
        "card_first_aid": _("Where first aid is"),
        "card_who_calls": _("Who calls"),
        "card_who_meets": _("Who meets the ambulance"),
        "all_sent": _("Everything is on the server."),
        "saved": _("Saved to %(file)s. At the desk a coach takes it in on the practice’s page “Tablets”."),
    }
