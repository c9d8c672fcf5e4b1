"""Fields that read and show lengths and masses in the club's units, and hold metres and kilograms."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from club.core.units import NotALength, NotAMass, parse_length_m, parse_mass_kg
from club.models import Club
from club.words import is_imperial, length_input, mass_input


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class OpenChoice(forms.ChoiceField):
    """A choice whose empty option is an answer like the others, and not a field left empty."""

    def validate(self, value: Any) -> None:
        if value:
            super().validate(value)


class LengthField(forms.CharField):
    """Metres as ``Decimal`` or None. least_m, most_m: what is plausible."""

    def __init__(self, club: Club, least_m: str, most_m: str, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", gettext_lazy("As 3.40 m, 340 cm or 11 ft 2 in."))
        super().__init__(max_length=30, **kwargs)
        self.club, self.least, self.most = club, Decimal(least_m), Decimal(most_m)

    def clean(self, value: Any) -> Any:
        said = super().clean(value)
        if not said:
            return None
        try:
            metres = parse_length_m(said, imperial=is_imperial(self.club))
        except NotALength as error:
            raise forms.ValidationError(_("Write the length with its unit, as 3.40 m or 11 ft 2 in.")) from error
        if not self.least <= metres <= self.most:
            raise forms.ValidationError(_("This length cannot be right."))
        return metres

    def prepare_value(self, value: Any) -> Any:
        return length_input(value, self.club) if isinstance(value, Decimal) else value


class MassField(forms.CharField):
    """Kilograms as ``Decimal`` or None."""

    def __init__(self, club: Club, least_kg: str, most_kg: str, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", gettext_lazy("As 58.5 kg or 130 lb."))
        super().__init__(max_length=30, **kwargs)
        self.club, self.least, self.most = club, Decimal(least_kg), Decimal(most_kg)

    def clean(self, value: Any) -> Any:
        said = super().clean(value)
        if not said:
            return None
        try:
            kilograms = parse_mass_kg(said, imperial=is_imperial(self.club))
        except NotAMass as error:
            raise forms.ValidationError(_("Write the mass with its unit, as 58.5 kg or 130 lb.")) from error
        if not self.least <= kilograms <= self.most:
            raise forms.ValidationError(_("This mass cannot be right."))
        return kilograms

    def prepare_value(self, value: Any) -> Any:
        return mass_input(value, self.club) if isinstance(value, Decimal) else value
