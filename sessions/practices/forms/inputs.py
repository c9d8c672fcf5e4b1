"""Fields and inputs that several forms of this room use."""

from collections.abc import Mapping

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


class WithLevel:
    """Each person is named with the level they hold. levels: words by person."""

    levels: Mapping[object, str] = {}

    def label_from_instance(self, person: Person) -> str:
        level = self.levels.get(person.pk)
        return f"{person.full_name}, {level}" if level else person.full_name


class RunByField(WithLevel, forms.ModelChoiceField):
    """Adults with a level, and helpers."""

    def __init__(self) -> None:
        super().__init__(
            None, label=gettext_lazy("Who runs it"), required=False, empty_label=gettext_lazy("nobody yet")
        )


class AdultsField(WithLevel, forms.ModelMultipleChoiceField):
    """Adults with a level."""

    def __init__(self) -> None:
        super().__init__(
            None,
            label=gettext_lazy("Adults"),
            widget=forms.CheckboxSelectMultiple,
            required=False,
            help_text=gettext_lazy("Two open a practice. With fewer, the plan takes floor drills only."),
        )
