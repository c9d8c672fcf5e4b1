"""Fields and inputs that several forms of this room use."""

from django import forms
from django.utils.translation import gettext_lazy

from club.models import Person

CHOOSE = gettext_lazy("choose")


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class ClockInput(forms.TimeInput):
    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M")


class RunByField(forms.ModelChoiceField):
    """Adults with a level, and helpers."""

    def __init__(self) -> None:
        super().__init__(
            None, label=gettext_lazy("Who runs it"), required=False, empty_label=gettext_lazy("nobody yet")
        )

    def label_from_instance(self, person: Person) -> str:
        return person.full_name
