"""Check-in and check-out."""

from typing import Any

from django import forms

from club.members import Member
from sessions.practices.queries import calendar


class AdultForm(forms.Form):
    """Check-in and check-out of one adult."""

    IN, OUT = "in", "out"
    person = forms.ModelChoiceField(None)
    act = forms.ChoiceField(choices=[(IN, IN), (OUT, OUT)])

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = calendar.adults(member)
