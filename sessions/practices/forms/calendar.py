"""When and where a practice is, who is expected, and how it repeats."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from club.clock import club_today
from club.members import Member
from sessions.practices.actions.calendar import MOST_AT_ONCE, Details
from sessions.practices.core.clock import SkippedTime, instant, weekly
from sessions.practices.forms.inputs import CHOOSE, ClockInput, DayInput
from sessions.practices.models import Practice
from sessions.practices.queries import calendar


class PracticeForm(forms.Form):
    day = forms.DateField(label=gettext_lazy("Day"), widget=DayInput)
    starts = forms.TimeField(label=gettext_lazy("From"), widget=ClockInput)
    ends = forms.TimeField(label=gettext_lazy("Until"), widget=ClockInput)
    venue = forms.ModelChoiceField(None, label=gettext_lazy("Venue"), empty_label=CHOOSE)
    squads = forms.ModelMultipleChoiceField(
        None,
        label=gettext_lazy("Squads"),
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("Who is expected."),
    )
    adults = forms.ModelMultipleChoiceField(
        None,
        label=gettext_lazy("Adults"),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text=gettext_lazy("Two open a practice. With fewer, the plan takes floor drills only."),
    )
    focus = forms.ModelChoiceField(
        None, label=gettext_lazy("Focus"), required=False, empty_label=pgettext_lazy("focus", "none")
    )
    bring = forms.CharField(label=gettext_lazy("What to bring"), max_length=160, required=False)

    def __init__(self, member: Member, *args: Any, zone: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.member, self.zone = member, zone or member.club.zone
        self.fields["venue"].queryset = calendar.venues(member)
        self.fields["squads"].queryset = calendar.squads(member)
        self.fields["adults"].queryset = calendar.adults(member)
        self.fields["focus"].queryset = calendar.checkpoints(member)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        starts, ends = cleaned.get("starts"), cleaned.get("ends")
        if starts and ends and ends <= starts:
            self.add_error("ends", _("A practice ends after it starts, on the same day."))
        for name in ("starts", "ends"):
            if cleaned.get("day") and cleaned.get(name):
                self._check_clock(name, cleaned)
        return cleaned

    def _check_clock(self, name: str, cleaned: dict[str, Any]) -> None:
        try:
            instant(cleaned["day"], cleaned[name], self.zone)
        except SkippedTime:
            self.add_error(name, _("The clocks are put forward that day, and this time does not come. Choose another."))

    def details(self) -> Details:
        """Of a valid form."""
        cleaned = self.cleaned_data
        return Details(
            venue=cleaned["venue"],
            day=cleaned["day"],
            starts=cleaned["starts"],
            ends=cleaned["ends"],
            squads=tuple(cleaned["squads"]),
            adults=tuple(cleaned["adults"]),
            focus=cleaned["focus"],
            bring=cleaned["bring"],
        )


class NewPracticeForm(PracticeForm):
    until = forms.DateField(
        label=gettext_lazy("Repeat weekly until"),
        widget=DayInput,
        required=False,
        help_text=gettext_lazy("The same weekday and time, each week. Each practice can be changed by itself later."),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        day, until = cleaned.get("day"), cleaned.get("until")
        if day and day < club_today(self.member.club):
            self.add_error("day", _("This day is over."))
        if day and until:
            self._check_series(weekly(day, until), cleaned)
        return cleaned

    def _check_series(self, days: tuple[date, ...], cleaned: dict[str, Any]) -> None:
        if not days:
            self.add_error("until", _("The last day comes before the first."))
        elif len(days) > MOST_AT_ONCE:
            said = _("That makes %(count)d practices. At most %(most)d at once.")
            self.add_error("until", said % {"count": len(days), "most": MOST_AT_ONCE})
        else:
            for day in days[1:]:
                for name in ("starts", "ends"):
                    if cleaned.get(name) and not self.has_error(name):
                        self._check_clock(name, {**cleaned, "day": day})


def practice_initial(practice: Practice) -> dict[str, Any]:
    return {
        "day": practice.day,
        "starts": practice.starts,
        "ends": practice.ends,
        "venue": practice.venue_id,
        "squads": [squad.pk for squad in practice.squads.all()],
        "adults": [row.person_id for row in practice.adults.all()],
        "focus": practice.focus_id,
        "bring": practice.bring,
    }
