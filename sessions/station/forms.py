"""A practice without a plan: which drill, and who is there for it."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from club.members import Member
from sessions.practices.models import Practice
from sessions.station.queries import today


class WithoutPlanForm(forms.Form):
    """Both fields travel in the address, so that the page of logging can be loaded again."""

    drill = forms.ModelChoiceField(
        None,
        to_field_name="key",
        empty_label=None,
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Choose a drill."),
            "invalid_choice": _("Choose a drill from the list: contact drills need a plan."),
        },
    )
    athlete = forms.ModelMultipleChoiceField(
        None, widget=forms.CheckboxSelectMultiple, error_messages={"required": _("Choose who is there.")}
    )

    def __init__(self, member: Member, practice: Practice, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.member, self.practice = member, practice
        self.fields["drill"].queryset = today.drills_without_plan(member, practice)
        self.fields["athlete"].queryset = today.athletes_without_plan(member, practice)
        # Whoever noted who is here is not asked again; ticks stay theirs to change.
        self.fields["athlete"].initial = today.noted_as_here(member, practice)

    def clean(self) -> dict[str, Any]:
        chosen = super().clean() or {}
        if chosen.get("drill") and chosen.get("athlete"):
            kept = today.held_back(self.member, self.practice, chosen["drill"], chosen["athlete"])
            if kept:
                said = _("A restriction keeps these from %(drill)s today: %(names)s.")
                raise ValidationError(said, params={"drill": chosen["drill"], "names": ", ".join(kept)})
        return chosen
