"""What pages say about restrictions, poles and rosters."""

from collections.abc import Iterable
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from athletes.core.poles import Fit, Why
from athletes.core.roster.columns import BY_KEY, What
from athletes.core.roster.plan import BECOMES_ATHLETE, BECOMES_GUARDIAN, COMES_BACK, NEW_TIE
from athletes.core.roster.rows import Problem
from athletes.core.roster.values import Reason
from athletes.roster_files import FileReason
from drills.core.catalogue import RiskClass

RISKS = {
    RiskClass.FLOOR: gettext_lazy("floor drills: standing, walking, in place"),
    RiskClass.MOVING: gettext_lazy("moving drills: jogging and running with the pole"),
    RiskClass.CONTACT: gettext_lazy("wall, box and jumping"),
}

# What a guardian taps: how much, in plain words, and what that excludes.
REPORTS = {
    "contact": (gettext_lazy("No wall, no box, no jumping"), (RiskClass.CONTACT,)),
    "moving": (gettext_lazy("No running: standing and walking only"), (RiskClass.MOVING, RiskClass.CONTACT)),
    "all": (gettext_lazy("No practice at all"), tuple(RiskClass)),
}


def risks_words(excludes: Iterable[RiskClass]) -> str:
    return "; ".join(str(RISKS[risk]) for risk in sorted(excludes, key=list(RiskClass).index))


def until_words(until: date | None, needs_clearance: bool, tells_why: bool, style: str = "") -> str:
    """ "until 4 December". That a written clearance must come gives the reason away (only a head injury asks for one):
    whoever may not read reasons hears the same as of any restriction without a last day. style: of the date.
    """
    if needs_clearance and tells_why:
        return _("until a written clearance lifts it")
    if needs_clearance or until is None:
        return _("until further notice")
    return _("until %(day)s") % {"day": date_format(until, style or _("j F"))}


def fit_words(fit: Fit) -> str:
    return {Fit.FITS: _("fits"), Fit.DOES_NOT_FIT: _("does not fit"), Fit.CHECK_DUE: _("check due")}[fit]


def why_words(why: Iterable[Why]) -> str:
    said = {
        Why.WITHDRAWN: _("the pole is withdrawn"),
        Why.NO_RATING: _("the pole has no rating"),
        Why.OVER_RATING: _("over the rating"),
        Why.ABOVE_BAND: _("the last grip is not below the band"),
        Why.NEVER_WEIGHED: _("no mass and no clearance on record"),
        Why.TOO_LONG_AGO: _("the last mass or clearance is more than 30 days old"),
    }
    return ", ".join(said[one] for one in why)


# --- rosters -------------------------------------------------------------------------------------

_CHILD = {
    What.NAME: gettext_lazy("whole name"),
    What.GIVEN: gettext_lazy("given name"),
    What.FAMILY: gettext_lazy("family name"),
    What.BORN: gettext_lazy("date of birth"),
    What.HAND: gettext_lazy("hand"),
    What.SQUADS: gettext_lazy("squads"),
    What.EMAIL: gettext_lazy("e-mail"),
    What.PHONE: gettext_lazy("phone"),
    What.HEIGHT: gettext_lazy("height"),
    What.STANDING_REACH: gettext_lazy("standing reach"),
}


def column_words(key: str) -> str:
    """The meaning of a column: "date of birth", "guardian 1: phone". It heads the column of an export too."""
    meaning = BY_KEY[key]
    words = str(_CHILD[meaning.what])
    if not meaning.guardian:
        return words
    return _("guardian %(number)d: %(what)s") % {"number": meaning.guardian, "what": words}


def change_words(what: str) -> str:
    acts = {
        COMES_BACK: _("comes back to the club"),
        BECOMES_ATHLETE: _("becomes an athlete"),
        BECOMES_GUARDIAN: _("becomes a guardian"),
        NEW_TIE: _("is tied to this child"),
    }
    return acts.get(what) or str(_CHILD[What(what)])


def problem_words(problem: Problem) -> str:
    if problem.reason is Reason.DUPLICATE:
        return _("The same child stands in row %(row)d already; that row counts.") % {"row": problem.earlier}
    return reason_words(problem.reason)


def reason_words(reason: Reason) -> str:
    return {
        Reason.NO_NAME: _("A name is missing."),
        Reason.BAD_NAME: _("This is not a name."),
        Reason.TOO_LONG: _("This is too long."),
        Reason.BAD_CHARACTERS: _("There are characters in it that nobody can see."),
        Reason.FORMULA: _("This starts like a formula."),
        Reason.AMBIGUOUS_DATE: _("Day and month could be either way round. Say above which comes first."),
        Reason.NO_DATE: _("This is not a date."),
        Reason.TWO_DIGIT_YEAR: _("Write the year with four digits."),
        Reason.NO_SUCH_DAY: _("There is no such day."),
        Reason.UNLIKELY_DAY: _("Nobody here was born then."),
        Reason.BAD_EMAIL: _("This is not an e-mail address."),
        Reason.BAD_PHONE: _("This is not a phone number."),
        Reason.BAD_HAND: _("Write right or left."),
        Reason.BAD_LENGTH: _("This is not a length; write it with its unit, as 1.62 m, 162 cm or 5 ft 4 in."),
        Reason.DUPLICATE: _("The same child stands in an earlier row."),
    }[reason]


def file_words(reason: FileReason, line: int = 0) -> str:
    """line: where in the file; 0 where it is all of it."""
    if line:
        return _("%(reason)s Look at line %(line)d.") % {"reason": file_words(reason), "line": line}
    return {
        FileReason.EMPTY: _("The file is empty."),
        FileReason.TOO_LARGE: _("The file is larger than 1 MB."),
        FileReason.TOO_MANY_ROWS: _("The file has more than 500 rows."),
        FileReason.TOO_MANY_COLUMNS: _("The file has more than 80 columns."),
        FileReason.CELL_TOO_LONG: _("One of its cells holds more than 2,000 characters."),
        FileReason.UNPACKS_TOO_LARGE: _("The file unpacks to far more than a roster."),
        FileReason.OLD_SPREADSHEET: _("This is a spreadsheet of the old kind. Save it as XLSX or CSV, then try again."),
        FileReason.NOT_READABLE: _("This is neither a CSV file nor an XLSX workbook that can be read."),
        FileReason.NO_TABLE: _("There is no table in it: one row of headings, then a row for each child."),
    }[reason]
