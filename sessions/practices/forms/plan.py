"""Blocks and stations of a plan."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from athletes.models import Athlete
from club.members import Member
from sessions.practices.forms.inputs import CHOOSE, ClockInput, RunByField
from sessions.practices.models import Practice
from sessions.practices.queries import calendar
from sessions.practices.queries.plan import areas_left, may_be_guests


class BlockForm(forms.Form):
    minutes = forms.IntegerField(label=gettext_lazy("Minutes"), min_value=1, max_value=240, initial=20)
    starts = forms.TimeField(
        label=gettext_lazy("From"),
        widget=ClockInput,
        required=False,
        help_text=gettext_lazy("Empty: after the last block."),
    )


class StationForm(forms.Form):
    area = forms.ModelChoiceField(None, label=gettext_lazy("Place"), empty_label=CHOOSE)
    run_by = RunByField()

    def __init__(self, member: Member, practice: Practice, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["area"].queryset = areas_left(member, practice)
        self.fields["run_by"].queryset = calendar.runners(member)
        self.fields["run_by"].levels = calendar.level_words(member)


class GuestField(forms.ModelChoiceField):
    def label_from_instance(self, athlete: Athlete) -> str:
        return athlete.person.full_name


class GuestForm(forms.Form):
    athlete = GuestField(None, label=gettext_lazy("Athlete of another squad"), empty_label=CHOOSE)

    def __init__(self, member: Member, practice: Practice, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["athlete"].queryset = may_be_guests(member, practice)


class StationAdultForm(forms.Form):
    run_by = RunByField()

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["run_by"].queryset = calendar.runners(member)
        self.fields["run_by"].levels = calendar.level_words(member)
