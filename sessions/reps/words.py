"""What each reason says: a sentence somebody at the practice, or at the desk, can act on."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as N_

from sessions.reps.core.reading import Problem

MESSAGES: dict[str, str] = {
    # what can never be used
    "not_an_object": N_("%(field)s must be an object with named fields."),
    "missing": N_("The field %(field)s is missing."),
    "unknown_field": N_("There is no field %(field)s here. Update the app on this device, or leave the field out."),
    "unknown_version": N_("This server takes versions %(limit)s of the format. Load the page again to update."),
    "other_person": N_("Somebody else recorded this. It waits on this device until they sign in again."),
    "not_true_or_false": N_("%(field)s must be true or false."),
    "not_a_number": N_("%(field)s must be a whole number."),
    "out_of_range": N_("%(field)s must be within %(limit)s."),
    "not_an_id": N_("%(field)s must be a UUID."),
    "not_a_key": N_("%(field)s must hold keys of the catalogue: letters, digits, hyphens."),
    "not_one_of": N_("%(field)s must be one of: %(limit)s."),
    "not_text": N_("%(field)s must be text."),
    "too_long": N_("%(field)s is too long. At most %(limit)s characters."),
    "bad_characters": N_("%(field)s holds characters that cannot be stored. Write it again."),
    "empty": N_("%(field)s is empty."),
    "not_a_time": N_("%(field)s must be a time with its offset, such as 2026-03-02T17:30:00Z."),
    "not_a_list": N_("%(field)s must be a list."),
    "too_many": N_("%(field)s holds too many. At most %(limit)s."),
    "too_many_reps": N_("At most %(limit)s reps at once. Send them in several parts."),
    "repeated": N_("%(field)s names the same thing twice."),
    "more_than_done": N_("More reps were watched than were done (%(limit)s)."),
    "nothing_watched": N_("Say which checkpoints were watched in this set."),
    "more_than_watched": N_("More reps were faulty than were watched (%(limit)s)."),
    "more_than_faulty": N_("A fault was counted more often than there were faulty reps (%(limit)s)."),
    "corrects_nothing": N_("Say what is to be corrected."),
    "too_large": N_("The request is too large. At most %(limit)s bytes. Send it in several parts."),
    "not_a_saved_file": N_("This is no file of unsent entries. Save it on the tablet again and choose that file."),
    "file_too_large": N_("The file is larger than %(limit)s bytes. Nothing was taken in."),
    "unknown_practice": N_("This club has no such practice for you. Ask the head coach to take the file in."),
    "not_json": N_("This is not JSON that can be read."),
    # what this club or this member has not
    "unknown_athlete": N_("This club has no such athlete for you. Load the practice again and pick who it was."),
    "unknown_drill": N_("This club has no such drill. Load the practice again and pick the drill."),
    "unknown_station": N_("This practice has no such station for you. Load the practice again and pick the station."),
    "unknown_checkpoint": N_("This club has no such checkpoint. Load the practice again."),
    "unknown_fault": N_("This club has no such fault. Load the practice again."),
    "unknown_adjustment": N_("This club has no such adjustment. Load the practice again."),
    "not_at_this_drill": N_("This drill does not offer what %(field)s names. Pick what was seen again."),
    "fault_not_watched": N_("In a set, a fault must belong to a checkpoint that was watched."),
    "station_needed": N_("Log at the station you stand at: name the station."),
    "floor_drills_only": N_("Helpers log floor drills only. Ask a coach to log this one."),
    "coaches_only": N_("Coaches alone may record this. Tell a coach."),
    "other_practice": N_("What this speaks of belongs to another practice. Change it there."),
    "cannot_be_changed": N_("This cannot be taken back or corrected so."),
    "is_out": N_("This athlete was taken out of practice. Only the head coach brings them back in."),
    # what was kept, and waits for a coach
    "conflict": N_(
        "Another entry has this number and stays as it is. A coach will find this one in the list to look at."
    ),
    "far_from_practice": N_("Its time is more than 12 hours from the practice. Kept for a coach to look at."),
    "before_joined": N_("The athlete had not joined yet on that day. Kept for a coach to look at."),
    "after_left": N_("The athlete had left by that day. Kept for a coach to look at."),
    "no_target": N_("What it speaks of has not arrived yet. It counts as soon as it does."),
    "no_rep": N_("No rep of this athlete within 60 seconds. It is matched if one arrives; else a coach looks at it."),
    "second_correction": N_("Another correction came before this one. A coach decides which of them stands."),
    "does_not_fit": N_("It does not fit what it speaks of. Kept for a coach to look at."),
    "not_yours": N_("Somebody else logged this. Ask a coach to take it back or correct it."),
    "two_devices": N_(
        "Another device logged this athlete in the same minute. A coach says whether it was one attempt or two."
    ),
}


def message(problem: Problem) -> str:
    """The sentence for a person, in their language."""
    field = problem.field or _("This")
    return _(MESSAGES[problem.reason]) % {"field": field, "limit": problem.limit}
