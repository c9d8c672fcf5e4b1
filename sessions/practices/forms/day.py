"""What is typed on the day of a practice: who leaves with whom, what was checked, what broke, what happened."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from athletes.models import Athlete
from club.members import Member
from sessions.practices.check_words import item_words
from sessions.practices.core.clock import SkippedTime, instant
from sessions.practices.forms.inputs import CHOOSE, ClockInput
from sessions.practices.models import Departure, Practice
from sessions.practices.queries.checks import StationLine, areas
from sessions.practices.queries.incidents import athletes_of
from sessions.practices.queries.pick_up import Collecting

How = Departure.How


class GuardianField(forms.ModelChoiceField):
    def label_from_instance(self, person: Any) -> str:
        return str(person.full_name)


class HandOverForm(forms.Form):
    """how decides which of the others is needed. despite: the second act, with its reason."""

    how = forms.ChoiceField(choices=How.choices, error_messages={"required": gettext_lazy("Say with whom.")})
    guardian = GuardianField(None, required=False)
    name = forms.CharField(
        label=gettext_lazy("Name of whoever collects"),
        max_length=120,
        error_messages={"required": gettext_lazy("Write the name of whoever collects. Ask them for it.")},
    )
    despite = forms.CharField(
        label=gettext_lazy("Why all the same"),
        max_length=300,
        required=False,
        help_text=gettext_lazy("It is kept with your name, and the head coach is told."),
    )

    def __init__(self, line: Collecting, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["guardian"].queryset = line.guardian_rows
        self.fields["name"].required = self.data.get("how", How.OTHER) == How.OTHER

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("how") == How.FAMILY and not cleaned.get("guardian") and not self.has_error("guardian"):
            self.add_error("guardian", _("Choose a guardian who may collect."))
        return cleaned


class CheckForm(forms.Form):
    """Every line has to be ticked."""

    items = forms.MultipleChoiceField(
        label=gettext_lazy("Looked at, and right"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": gettext_lazy("Walk round it, and tick each line that is right.")},
    )

    def __init__(self, line: StationLine, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["items"].choices = [(key, item_words(key)) for key in line.items]


class KitForm(forms.Form):
    what = forms.CharField(label=gettext_lazy("What is broken"), max_length=200)
    area = forms.ModelChoiceField(None, label=gettext_lazy("Place"), required=False, empty_label=gettext_lazy("none"))

    def __init__(self, member: Member, practice: Practice, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["area"].queryset = areas(member, practice)


def _long(label: Any, help_text: Any = "") -> forms.CharField:
    return forms.CharField(
        label=label, help_text=help_text, max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )


class EntryForm(forms.Form):
    """One account of an incident. It is kept as it is; what comes later is added."""

    WORDS = ("place", "happened", "done", "told", "witness", "private")
    place = forms.CharField(label=gettext_lazy("Where"), max_length=120, required=False)
    happened = _long(gettext_lazy("What happened"), gettext_lazy("What you saw, in plain words. Guardians read it."))
    head = forms.BooleanField(
        label=gettext_lazy("There was a blow to the head, or there may have been"),
        required=False,
        help_text=gettext_lazy("The athlete then does nothing until a written clearance lifts it."),
    )
    done = _long(gettext_lazy("What was done"), gettext_lazy("Who helped, and how. Guardians read it."))
    told = forms.CharField(
        label=gettext_lazy("Who told the guardian, whom and when"),
        max_length=200,
        required=False,
        help_text=gettext_lazy("Phone first. Guardians see the record once this is filled in."),
    )
    witness = forms.CharField(label=gettext_lazy("Who saw it"), max_length=200, required=False)
    private = _long(
        gettext_lazy("Only for coaches in charge and the safeguarding officer"),
        gettext_lazy("Other children’s names belong here, if anywhere."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["happened"].says_when_needed = True  # type: ignore[attr-defined]  # something has to be written

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and not any(cleaned.get(name) for name in (*self.WORDS, "head")):
            raise forms.ValidationError(_("Nothing is written yet. Write what you know; more can be added later."))
        return cleaned

    def words(self) -> dict[str, str]:
        """Of a valid form."""
        return {name: self.cleaned_data[name] for name in self.WORDS}


class AthleteField(forms.ModelChoiceField):
    def label_from_instance(self, athlete: Athlete) -> str:
        return athlete.person.full_name


class IncidentForm(EntryForm):
    athlete = AthleteField(None, label=gettext_lazy("Who"), empty_label=CHOOSE)
    when = forms.TimeField(label=gettext_lazy("When"), widget=ClockInput)

    field_order = ["athlete", "when", "place", "happened", "head", "done", "told", "witness", "private"]

    def __init__(self, member: Member, practice: Practice, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.practice = practice
        self.fields["athlete"].queryset = athletes_of(member, practice)
        self.order_fields(self.field_order)

    def clean_when(self) -> datetime:
        try:
            return instant(self.practice.day, self.cleaned_data["when"], self.practice.zone)
        except SkippedTime:
            raise forms.ValidationError(_("The day does not have this time, because the clocks change.")) from None
