"""Poles and notebooks."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from athletes.forms.fields import DayInput, LengthField, MassField
from athletes.models import LONGEST_RUN, Pole
from athletes.queries import jumping
from athletes.queries import profile as queries
from club.grouped import Grouped
from club.members import Member
from drills.core.catalogue import RiskClass
from drills.models import Drill


class PoleForm(Grouped, forms.Form):
    tag = forms.CharField(
        label=gettext_lazy("Tag"), max_length=20, help_text=gettext_lazy("What the club calls it in front of athletes.")
    )
    flex = forms.DecimalField(
        label=gettext_lazy("Flex number"), required=False, min_value=0, max_digits=5, decimal_places=2
    )

    FIELDS = ("tag", "length_m", "rating_kg", "band_m", "flex", "mass_kg", "balance_m")
    GROUPS = ((gettext_lazy("Flex, mass and balance point"), ("flex", "mass_kg", "balance_m")),)

    def __init__(self, member: Member, pole: Pole | None, *args: Any, **kwargs: Any) -> None:
        initial = {name: getattr(pole, name) for name in self.FIELDS} if pole else {}
        super().__init__(*args, initial=initial, **kwargs)
        self.member, self.pole, club = member, pole, member.club
        self.fields |= {
            "length_m": LengthField(club, "2", "5.5", label=_("Length")),
            "rating_kg": MassField(club, "20", "150", label=_("Maker’s rating"), required=False),
            "mass_kg": MassField(club, "0.3", "6", label=_("Mass"), required=False),
            "balance_m": LengthField(club, "0.5", "5", label=_("Balance point, from the tip"), required=False),
            "band_m": LengthField(
                club,
                "1",
                "5.5",
                label=_("Band, from the tip"),
                required=False,
                help_text=_("Above it the pole must not be held."),
            ),
        }
        self.order_fields(self.FIELDS)

    def clean_tag(self) -> str:
        tag: str = self.cleaned_data["tag"]
        same = queries.poles(self.member).filter(tag=tag)
        if same.exclude(pk=self.pole and self.pole.pk).exists():
            raise forms.ValidationError(_("There is a pole with this tag."))
        return tag

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        length = cleaned.get("length_m")
        for name in ("balance_m", "band_m"):
            if length and cleaned.get(name) and cleaned[name] > length:
                self.add_error(name, _("The pole is not as long as that."))
        return cleaned


class WithdrawForm(forms.Form):
    why = forms.CharField(
        label=gettext_lazy("Why"), max_length=160, help_text=gettext_lazy("A crack, a spike cut, a missing plug.")
    )


class EntryForm(Grouped, forms.Form):
    on = forms.DateField(label=gettext_lazy("Day"), widget=DayInput)
    drill = forms.ModelChoiceField(None, label=gettext_lazy("Drill"), to_field_name="key", required=False)
    pole = forms.ModelChoiceField(None, label=gettext_lazy("Pole"), required=False)
    steps = forms.IntegerField(label=gettext_lazy("Steps"), min_value=1, max_value=24, required=False)
    note = forms.CharField(label=gettext_lazy("Note"), max_length=200, required=False)

    GROUPS = ((gettext_lazy("Steps and marks"), ("steps", "start_mark_m", "mid_mark_m")),)

    def __init__(self, member: Member, today: date, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, initial={"on": today}, **kwargs)
        self.today = today
        self.fields["drill"].queryset = queries.drills_in_use(member)  # type: ignore[attr-defined]
        self.fields["pole"].queryset = queries.poles(member).filter(  # type: ignore[attr-defined]
            state=Pole.State.IN_USE
        )
        self.fields |= {
            "grip_m": LengthField(member.club, "1", "5.4", label=_("Grip, from the tip"), required=False),
            "start_mark_m": LengthField(member.club, "1", "60", label=_("Start mark"), required=False),
            "mid_mark_m": LengthField(member.club, "1", "30", label=_("Mid mark of the day"), required=False),
        }
        self.order_fields(["on", "drill", "pole", "grip_m", "note", "steps", "start_mark_m", "mid_mark_m"])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("on") and cleaned["on"] > self.today:
            self.add_error("on", _("This day has not come yet."))
        problem = self._grip_problem(cleaned.get("grip_m"), cleaned.get("pole"), cleaned.get("drill"))
        if problem:
            self.add_error("grip_m", problem)
        if not self.errors and not any(value for name, value in cleaned.items() if name not in {"on", "drill"}):
            raise forms.ValidationError(_("Nothing is written down yet."))
        return cleaned

    def _grip_problem(self, grip_m: Decimal | None, pole: Pole | None, drill: Drill | None) -> str:
        if grip_m is None or pole is not None:
            return _grip_problem(grip_m, pole)
        if drill is not None and drill.risk == RiskClass.CONTACT:
            return _("At wall, box or in a jump: say which pole, so that its band is checked.")
        in_use = list(self.fields["pole"].queryset)  # type: ignore[attr-defined]
        if in_use and all(_grip_problem(grip_m, one) for one in in_use):
            return _("No pole of the club is held that high. Say which pole it was.")
        return ""


class ClearanceForm(forms.Form):
    """What the head coach saw and allows: what, with which pole, held where, from how long a run."""

    activity = forms.ModelChoiceField(None, label=gettext_lazy("For what"), to_field_name="key")
    pole = forms.ModelChoiceField(None, label=gettext_lazy("Pole"))
    steps = forms.IntegerField(label=gettext_lazy("Steps of the run"), min_value=1, max_value=LONGEST_RUN)

    def __init__(self, member: Member, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["activity"].queryset = jumping.activities(member)  # type: ignore[attr-defined]
        self.fields["pole"].queryset = queries.poles(member).filter(  # type: ignore[attr-defined]
            state=Pole.State.IN_USE
        )
        self.fields["grip_m"] = LengthField(member.club, "1", "5.4", label=_("Grip, from the tip"))
        self.order_fields(["activity", "pole", "grip_m", "steps"])


def _grip_problem(grip_m: Decimal | None, pole: Pole | None) -> str:
    """Why a pole must not be held there; empty where it may be. The hands stay below the band, so not at it."""
    if grip_m is None or pole is None:
        return ""
    if grip_m >= pole.length_m:
        return _("The pole is not as long as that.")
    if pole.band_m is not None and grip_m >= pole.band_m:
        return _("Never above the pole’s band: the hands stay below it.")
    return ""
