"""When and where a practice is, who is expected, and how it repeats."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from club.clock import club_today
from club.members import Member
from sessions.practices.actions.calendar import MOST_AT_ONCE, Details
from sessions.practices.changes import Slot
from sessions.practices.core.clock import SkippedTime, instant, weekly
from sessions.practices.forms.inputs import CHOOSE, AdultsField, ClockInput, DayInput
from sessions.practices.models import Practice
from sessions.practices.queries import calendar

FARTHEST = timedelta(days=5 * 366)
"""No practice is put further ahead than this: a year was mistyped."""


class SlotForm(forms.Form):
    """When and where. practice: the one that is changed; without it a new one."""

    day = forms.DateField(label=gettext_lazy("Day"), widget=DayInput)
    starts = forms.TimeField(label=gettext_lazy("From"), widget=ClockInput)
    ends = forms.TimeField(label=gettext_lazy("Until"), widget=ClockInput)
    venue = forms.ModelChoiceField(None, label=gettext_lazy("Venue"), empty_label=CHOOSE)

    def __init__(self, member: Member, *args: Any, practice: Practice | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.member, self.practice = member, practice
        self.zone = practice.zone if practice else member.club.zone
        self.fields["venue"].queryset = calendar.venues(member)

    def clean_day(self) -> date:
        day: date = self.cleaned_data["day"]
        today = club_today(self.member.club)
        if day < today and not (self.practice and self.practice.day == day):
            raise forms.ValidationError(_("This day is over."))
        if day > today + FARTHEST:
            raise forms.ValidationError(_("This is more than five years ahead. Look at the year."))
        return day

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

    def slot(self) -> Slot:
        """Of a valid form."""
        cleaned = self.cleaned_data
        return Slot(cleaned["venue"], cleaned["day"], cleaned["starts"], cleaned["ends"])


class ScopeMixin:
    """Adds the question "this one / this and later" where the practice has later ones in its series."""

    THIS, LATER = "this", "later"

    def ask_scope(self, member: Member, practice: Practice) -> None:
        later = calendar.later_of_series(member, practice).count()
        if later:
            said = ngettext("This one and the later one", "This one and the %(count)d later ones", later)
            self.fields["scope"] = forms.ChoiceField(  # type: ignore[attr-defined]
                label=_("Which practices"),
                choices=[(self.THIS, _("This one")), (self.LATER, said % {"count": later})],
                widget=forms.RadioSelect,
                required=False,
                initial=self.THIS,
                help_text=_("Of the later ones only what you change here changes; one that was moved by itself stays."),
            )

    @property
    def later(self) -> bool:
        """Of a valid form."""
        return self.cleaned_data.get("scope") == self.LATER  # type: ignore[attr-defined]


class MoveForm(ScopeMixin, SlotForm):
    """To another day, time or venue; the plan goes along."""

    def __init__(self, member: Member, practice: Practice, *args: Any) -> None:
        initial = {"day": practice.day, "starts": practice.starts, "ends": practice.ends, "venue": practice.venue_id}
        super().__init__(member, *args, practice=practice, initial=initial)
        self.ask_scope(member, practice)


class PracticeForm(SlotForm):
    squads = forms.ModelMultipleChoiceField(
        None,
        label=gettext_lazy("Squads"),
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("Who is expected."),
    )
    adults = AdultsField()
    focus = forms.ModelChoiceField(
        None, label=gettext_lazy("Focus"), required=False, empty_label=pgettext_lazy("focus", "none")
    )
    bring = forms.CharField(label=gettext_lazy("What to bring"), max_length=160, required=False)

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(member, *args, **kwargs)
        self.fields["squads"].queryset = calendar.squads(member)
        self.fields["adults"].queryset = calendar.adults(member)
        self.fields["adults"].levels = calendar.level_words(member)
        self.fields["focus"].queryset = calendar.checkpoints(member)

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


class EditPracticeForm(ScopeMixin, PracticeForm):
    def __init__(self, member: Member, practice: Practice, *args: Any) -> None:
        super().__init__(member, *args, practice=practice, initial=practice_initial(practice))
        self.ask_scope(member, practice)


class NewPracticeForm(PracticeForm):
    until = forms.DateField(
        label=gettext_lazy("Repeat weekly until"),
        widget=DayInput,
        required=False,
        help_text=gettext_lazy(
            "The same weekday and time, each week. Each can be changed by itself later, or with those after it."
        ),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        day, until = cleaned.get("day"), cleaned.get("until")
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
